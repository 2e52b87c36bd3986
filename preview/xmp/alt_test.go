package xmp

import (
	"bytes"
	"errors"
	"slices"
	"testing"
)

// An ordered list and a text in no language come, change and go; the bytes in the
// end are those of the beginning.
func TestSequenceAndAlternative(t *testing.T) {
	const doc = "<x:xmpmeta xmlns:x='adobe:ns:meta/'>\n <rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>\n" +
		"  <rdf:Description rdf:about='' xmlns:q='urn:q'>\n   <q:a>1</q:a>\n  </rdf:Description>\n </rdf:RDF>\n</x:xmpmeta>\n"
	now := []byte(doc)
	for i, step := range []struct {
		edits   []Edit
		creator string
		kind    Kind
		rights  string
		has     bool
	}{
		{[]Edit{{NS: NSDC, Prefix: "dc", Name: "creator", AddToBag: []string{"A & B"}, As: Seq}, {NS: NSDC, Name: "rights", Value: "© <1>", As: Alt}}, "A & B", Seq, "© <1>", true},
		{[]Edit{{NS: NSDC, Name: "creator", AddToBag: []string{"C"}, RemoveFromBag: []string{"A & B"}, As: Seq}, {NS: NSDC, Name: "rights", Value: "2", As: Alt}}, "C", Seq, "2", true},
		{[]Edit{{NS: NSDC, Name: "creator", RemoveFromBag: []string{"C"}, As: Seq}, {NS: NSDC, Name: "rights", Remove: true, As: Alt}}, "", Absent, "", false},
	} {
		d, err := Parse(now)
		if err != nil {
			t.Fatal(err)
		}
		if now, err = d.Apply(step.edits); err != nil {
			t.Fatalf("step %d: %v", i, err)
		}
		if d, err = Parse(now); err != nil {
			t.Fatal(err)
		}
		if k := d.Kind(NSDC, "creator"); k != step.kind {
			t.Errorf("step %d: creator is a %s", i, k)
		}
		if items := d.Bag(NSDC, "creator"); step.creator != "" && (len(items) != 1 || items[0] != step.creator) {
			t.Errorf("step %d: creator %q", i, items)
		}
		if text, ok := d.AltText(NSDC, "rights"); text != step.rights || ok != step.has {
			t.Errorf("step %d: rights %q, %v", i, text, ok)
		}
	}
	if string(now) != doc {
		t.Errorf("in the end\n%s", now)
	}
	d, err := Parse([]byte(doc))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range []Edit{{NS: "urn:q", Name: "a", Value: "2", As: Seq}, {NS: "urn:q", Name: "b", AddToBag: []string{"2"}, As: Alt}, {NS: "urn:q", Name: "a", Value: "2", As: Bag}} {
		if _, err := d.Apply([]Edit{e}); err == nil {
			t.Errorf("%+v was made", e)
		}
	}
}

// FuzzSequenceAndAlternative: whatever the document holds, the two are written so
// that they read as wanted and a second time changes nothing, or are refused as
// properties; never does the self-check fail.
func FuzzSequenceAndAlternative(f *testing.F) {
	addSeeds(f)
	for _, inner := range []string{
		`<rdf:Description><dc:creator><rdf:Seq><rdf:li>a</rdf:li><rdf:li/></rdf:Seq></dc:creator><dc:rights><rdf:Alt><rdf:li xml:lang="x-default">r</rdf:li></rdf:Alt></dc:rights></rdf:Description>`,
		`<rdf:Description><dc:creator><rdf:Alt/></dc:creator><dc:rights><rdf:Alt><rdf:li xml:lang="de"/><rdf:li xml:lang="x-default">r</rdf:li></rdf:Alt></dc:rights></rdf:Description>`,
		`<rdf:Description dc:creator="a" dc:rights="r"/>`, `<rdf:Description><dc:rights><rdf:Alt/></dc:rights></rdf:Description>`,
	} {
		f.Add([]byte(packet(inner)))
	}
	f.Fuzz(func(t *testing.T, in []byte) {
		d, err := Parse(in)
		if err != nil {
			return
		}
		for _, e := range []Edit{
			{NS: NSDC, Prefix: "dc", Name: "creator", AddToBag: []string{"A & B"}, As: Seq},
			{NS: NSDC, Prefix: "dc", Name: "rights", Value: "© <1>", As: Alt},
			{NS: NSDC, Name: "rights", Remove: true, As: Alt},
		} {
			out, err := d.Apply([]Edit{e})
			if err != nil {
				var refused *PropertyError
				if !errors.As(err, &refused) || out != nil {
					t.Fatalf("%+v: %v", e, err)
				}
				continue
			}
			after, err := Parse(out)
			if err != nil {
				t.Fatalf("%v: %q", err, out)
			}
			text, alt := after.AltText(NSDC, "rights")
			if !alt {
				text, _ = after.Get(NSDC, "rights")
			}
			switch {
			case e.Remove && after.Kind(NSDC, "rights") != Absent:
				t.Fatalf("still there: %q", out)
			case e.As == Alt && text != e.Value:
				t.Fatalf("reads %q: %q", text, out)
			case e.As == Seq && !slices.Contains(after.Bag(NSDC, "creator"), "A & B"):
				t.Fatalf("not in the list: %q", out)
			}
			if again, err := after.Apply([]Edit{e}); err != nil || !bytes.Equal(again, out) {
				t.Fatalf("the second time: %v, %q", err, again)
			}
		}
	})
}
