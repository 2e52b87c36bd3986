package xmp

import (
	"errors"
	"strings"
	"testing"
)

// TestSelfCheck damages results the way a defect would, and expects the check
// to say so.
func TestSelfCheck(t *testing.T) {
	s := rdfOpen + `
 <rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:q="urn:q">
  <q:a>1</q:a> <!-- note -->
  <dc:subject><rdf:Bag><rdf:li>bride</rdf:li></rdf:Bag></dc:subject>
  <xmp:Label>x</xmp:Label>
 </rdf:Description>
</rdf:RDF>`
	edits := []Edit{setRating, addAlbum, {NS: NSXMP, Name: "Label", Remove: true}}
	good := apply(t, s, edits...)
	if err := verify(mustParse(t, s), mustParse(t, good), edits); err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string][2]string{
		"another value":     {"<q:a>1<", "<q:a>2<"},
		"another comment":   {"note", "nota"},
		"white space":       {"  <q:a>", " <q:a>"},
		"another namespace": {"urn:q", "urn:r"},
		"wrong value":       {">1</xmp:Rating>", ">2</xmp:Rating>"},
		"lost property":     {"<xmp:Rating>1</xmp:Rating>", ""},
		"lost keyword":      {"<rdf:li>bride</rdf:li>", ""},
		"keyword not added": {"<rdf:li>album</rdf:li>", ""},
		"not removed":       {"<q:a>", "<xmp:Label>x</xmp:Label><q:a>"},
	} {
		bad := strings.Replace(good, change[0], change[1], 1)
		if bad == good {
			t.Fatalf("%s: no change", name)
		}
		if err := verify(mustParse(t, s), mustParse(t, bad), edits); !errors.Is(err, errCheck) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestSplice pins the order of cuts and insertions at one place.
func TestSplice(t *testing.T) {
	cuts := []cut{{span{4, 4}, "X"}, {span{2, 4}, ""}, {span{0, 1}, "A"}, {span{6, 6}, "Z"}}
	if got := splice("abcdef", cuts); got != "AbXefZ" {
		t.Errorf("got %q", got)
	}
	if got := splice("abc", nil); got != "abc" {
		t.Errorf("got %q", got)
	}
}

// TestErrorTexts: one sentence, lower case, no final period, the place in it.
func TestErrorTexts(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{&FormatError{7, "no rdf:RDF"}, "xmp: invalid format: no rdf:RDF at byte 7"},
		{&UnsupportedError{9, "document type declaration"}, "xmp: unsupported: document type declaration at byte 9"},
		{&PropertyError{NSXMP, "Rating", "stated 2 times"}, "xmp: property Rating of http://ns.adobe.com/xap/1.0/: stated 2 times"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}
