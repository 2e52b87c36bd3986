package xmp

import "testing"

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
