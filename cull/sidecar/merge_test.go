package sidecar

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/preview/xmp"
)

func ptr[T any](v T) *T { return &v }

const (
	noon = "2026-06-13T12:00:00+02:00"
	one  = "2026-06-13T13:00:00+02:00"
)

// keep, drop and open are what the three answers ask for.
func keep(date string) Values {
	return Values{Rating: ptr(1), Good: ptr(true), Scene: "03", CameraLabel: "A", MetadataDate: date}
}

func drop(date string) Values {
	return Values{Rating: ptr(-1), Good: ptr(false), Scene: "03", CameraLabel: "A", MetadataDate: date}
}

func open(date string) Values { return Values{MetadataDate: date} }

// theirs is somebody else's sidecar with some attributes of rdf:Description.
func theirs(attrs, content string) string {
	return `<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about=""
    xmlns:xmp="http://ns.adobe.com/xap/1.0/"
    xmlns:xmpDM="http://ns.adobe.com/xmp/1.0/DynamicMedia/"
    xmlns:dc="http://purl.org/dc/elements/1.1/"
    xmlns:q="urn:editor"
    q:Exposure="+0.35"` + attrs + `>
   <q:Curve/>` + content + `
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
`
}

func get(t *testing.T, b []byte) Values {
	t.Helper()
	v, err := Read(b)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// stable checks what holds of every result: merging again with what was
// remembered, or with nothing remembered, changes nothing.
func stable(t *testing.T, r Request, got Result) {
	t.Helper()
	now := r.Old
	if got.Bytes != nil {
		now = got.Bytes
	}
	again := Merge(Request{Old: now, Want: r.Want, Last: &got.Wrote, Replace: r.Replace})
	if again.Bytes != nil {
		t.Errorf("the second time writes %s\nafter %s", again.Bytes, now)
	}
	if got.Action != Conflict && got.Action != Failed && again.Action != Unchanged {
		t.Errorf("the second time is %s: %s", again.Action, again.Reason)
	}
	if diff := cmp.Diff(got.Wrote, again.Wrote); diff != "" {
		t.Errorf("the second time remembers something else: %s", diff)
	}
}

func merged(t *testing.T, r Request, want Action) Result {
	t.Helper()
	got := Merge(r)
	if got.Action != want {
		t.Fatalf("%s (%s), want %s", got.Action, got.Reason, want)
	}
	if (got.Reason != "") != (want == Conflict || want == Failed) {
		t.Errorf("reason %q for %s", got.Reason, want)
	}
	stable(t, r, got)
	return got
}

func TestFresh(t *testing.T) {
	got := merged(t, Request{Want: keep(noon)}, Written)
	const want = `<?xml version="1.0" encoding="UTF-8"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about=""
    xmlns:xmp="http://ns.adobe.com/xap/1.0/"
    xmlns:xmpDM="http://ns.adobe.com/xmp/1.0/DynamicMedia/">
   <xmp:Rating>1</xmp:Rating>
   <xmpDM:good>True</xmpDM:good>
   <xmpDM:scene>03</xmpDM:scene>
   <xmpDM:cameraLabel>A</xmpDM:cameraLabel>
   <xmp:MetadataDate>2026-06-13T12:00:00+02:00</xmp:MetadataDate>
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
`
	if string(got.Bytes) != want {
		t.Errorf("got %s", got.Bytes)
	}
	if diff := cmp.Diff(keep(noon), got.Wrote); diff != "" {
		t.Error(diff)
	}
	// An open frame gets no sidecar, also where ours has been deleted.
	merged(t, Request{Want: open(noon)}, Unchanged)
	merged(t, Request{Want: open(noon), Last: &got.Wrote}, Unchanged)
	// A deleted one is written again, whole.
	again := merged(t, Request{Want: keep(noon), Last: &got.Wrote}, Written)
	if !bytes.Equal(again.Bytes, got.Bytes) {
		t.Errorf("written again: %s", again.Bytes)
	}
}

// TestRedecided: our own values follow the decision, and go with it.
func TestRedecided(t *testing.T) {
	for name, old := range map[string][]byte{"ours alone": nil, "somebody's": []byte(theirs("", ""))} {
		first := Written
		if old != nil {
			first = Merged
		}
		a := merged(t, Request{Old: old, Want: keep(noon)}, first)
		b := merged(t, Request{Old: a.Bytes, Want: drop(one), Last: &a.Wrote}, Merged)
		if diff := cmp.Diff(drop(one), get(t, b.Bytes), ignoreNone); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
		c := merged(t, Request{Old: b.Bytes, Want: open(one), Last: &b.Wrote}, Withdrawn)
		if !c.Wrote.IsZero() || c.Wrote.MetadataDate != "" {
			t.Errorf("%s: still remembered: %+v", name, c.Wrote)
		}
		if old != nil && !bytes.Equal(c.Bytes, old) {
			t.Errorf("%s: withdrawn: %s", name, c.Bytes)
		}
		if old == nil {
			d, err := xmp.Parse(c.Bytes)
			if err != nil || len(d.Properties()) != 0 {
				t.Errorf("%s: left in the document: %v, %s", name, err, c.Bytes)
			}
		}
		// Kept again after all.
		merged(t, Request{Old: c.Bytes, Want: keep(one), Last: &c.Wrote}, Merged)
	}
}

// ignoreNone compares keyword lists without telling nil from empty.
var ignoreNone = cmp.Transformer("none", func(s []string) string { return strings.Join(s, "\x00") })

// TestForeignRating: somebody else's rating stays without Replace, and with it
// the other half of the judgement; what is no judgement is still merged.
func TestForeignRating(t *testing.T) {
	for _, rating := range []string{"4", "5", "1.5", "-1", "7", "three"} {
		old := theirs(` xmp:Rating="`+rating+`"`, "")
		r := Request{Old: []byte(old), Want: keep(noon)}
		got := merged(t, r, Conflict)
		want := strings.Replace(old, "<q:Curve/>", `<q:Curve/>
   <xmpDM:scene>03</xmpDM:scene>
   <xmpDM:cameraLabel>A</xmpDM:cameraLabel>
   <xmp:MetadataDate>`+noon+`</xmp:MetadataDate>`, 1)
		if string(got.Bytes) != want {
			t.Errorf("rating %s: %s", rating, got.Bytes)
		}
		if !strings.Contains(got.Reason, "xmp:Rating") || !strings.Contains(got.Reason, rating) {
			t.Errorf("reason %q", got.Reason)
		}
		if got.Wrote.Rating != nil || got.Wrote.Good != nil {
			t.Errorf("remembered as ours: %+v", got.Wrote)
		}
		r.Replace = true
		got = merged(t, r, Merged)
		if diff := cmp.Diff(keep(noon), get(t, got.Bytes), ignoreNone); diff != "" {
			t.Errorf("replaced: %s", diff)
		}
	}
}

// TestUnrated: absent, empty and 0 are nobody's rating (ISO 16684-1 §8.4).
func TestUnrated(t *testing.T) {
	for _, attr := range []string{"", ` xmp:Rating="0"`, ` xmp:Rating="0.0"`, ` xmp:Rating=""`, ` xmp:Rating=" "`} {
		got := merged(t, Request{Old: []byte(theirs(attr, "")), Want: drop(noon)}, Merged)
		if v := get(t, got.Bytes); v.Rating == nil || *v.Rating != -1 {
			t.Errorf("%s: %s", attr, got.Bytes)
		}
	}
}

// TestChangedBySomebody: a value of ours that somebody changed since is theirs.
func TestChangedBySomebody(t *testing.T) {
	a := merged(t, Request{Old: []byte(theirs("", "")), Want: keep(noon)}, Merged)
	edited := bytes.Replace(a.Bytes, []byte("<xmp:Rating>1<"), []byte("<xmp:Rating>4<"), 1)
	// Asked for the same again: left, and said.
	b := merged(t, Request{Old: edited, Want: keep(noon), Last: &a.Wrote}, Conflict)
	if b.Bytes != nil {
		t.Errorf("written: %s", b.Bytes)
	}
	// Dropped since: the rating and, with it, good stay.
	c := merged(t, Request{Old: edited, Want: drop(one), Last: &a.Wrote}, Conflict)
	if c.Bytes != nil {
		t.Errorf("written: %s", c.Bytes)
	}
	if c.Wrote.Rating != nil || c.Wrote.Good == nil || !*c.Wrote.Good {
		t.Errorf("remembered: %+v", c.Wrote)
	}
	// Open again: all but the rating goes.
	d := merged(t, Request{Old: edited, Want: open(one), Last: &a.Wrote}, Withdrawn)
	want := strings.Replace(theirs("", ""), "<q:Curve/>", "<q:Curve/>\n   <xmp:Rating>4</xmp:Rating>", 1)
	if string(d.Bytes) != want {
		t.Errorf("withdrawn: %s", d.Bytes)
	}
}

// TestAgreement: what somebody else wrote is not taken back because we agreed
// with it for a while.
func TestAgreement(t *testing.T) {
	old := theirs(` xmp:Rating="1" xmpDM:good="true"`, "")
	a := merged(t, Request{Old: []byte(old), Want: keep(noon)}, Merged)
	if a.Wrote.Rating != nil || a.Wrote.Good != nil || a.Wrote.Scene != "03" {
		t.Errorf("remembered: %+v", a.Wrote)
	}
	b := merged(t, Request{Old: a.Bytes, Want: open(one), Last: &a.Wrote}, Withdrawn)
	if string(b.Bytes) != old {
		t.Errorf("withdrawn: %s", b.Bytes)
	}
}

// TestNothingRemembered: after the catalogue's loss, a file that carries the
// frame's own date is known as ours; any other is treated as somebody else's.
func TestNothingRemembered(t *testing.T) {
	a := merged(t, Request{Want: keep(noon)}, Written)
	b := merged(t, Request{Old: a.Bytes, Want: keep(noon)}, Unchanged)
	if diff := cmp.Diff(a.Wrote, b.Wrote); diff != "" {
		t.Error(diff)
	}
	merged(t, Request{Old: a.Bytes, Want: drop(one), Last: &b.Wrote}, Merged)
	merged(t, Request{Old: a.Bytes, Want: drop(one)}, Conflict)
}

// TestMetadataDate: it moves with our changes only, and never back.
func TestMetadataDate(t *testing.T) {
	for _, c := range []struct{ have, want string }{
		{"", one},
		{"2026-06-13T12:59:59+02:00", one},
		{"2026-06-13T10:00:00Z", one},
		{"2025", one},
		{"2026-06-13T11:00:00.5Z", "2026-06-13T11:00:00.5Z"},       // half a second later
		{"2026-06-13T11:00Z", "2026-06-13T11:00Z"},                 // the same instant
		{"2026-06-13T12:30:00", "2026-06-13T12:30:00"},             // no zone: may be later
		{"2026-06-13", "2026-06-13"},                               // may be later
		{"2027-01-01T00:00:00+14:00", "2027-01-01T00:00:00+14:00"}, // later
		{"yesterday", "yesterday"},                                 // no date: not ours to judge
	} {
		attr := ""
		if c.have != "" {
			attr = ` xmp:MetadataDate="` + c.have + `"`
		}
		a := merged(t, Request{Old: []byte(theirs(attr, "")), Want: keep(one)}, Merged)
		if v := get(t, a.Bytes); v.MetadataDate != c.want {
			t.Errorf("%q became %q, want %q", c.have, v.MetadataDate, c.want)
		}
		// Nothing else to change: a newer date alone writes nothing.
		r := Request{Old: a.Bytes, Want: keep("2028-01-01T00:00:00Z"), Last: &a.Wrote}
		if got := Merge(r); got.Action != Unchanged || got.Bytes != nil {
			t.Errorf("%q: a date alone: %s", c.have, got.Action)
		}
		// Somebody else's date stays when ours goes.
		b := merged(t, Request{Old: a.Bytes, Want: open(one), Last: &a.Wrote}, Withdrawn)
		left := get(t, b.Bytes).MetadataDate
		if c.have == "" && left != "" || c.have != "" && left != c.want {
			t.Errorf("%q: %q is left", c.have, left)
		}
	}
}

// TestDateWithdrawn: a withdrawal adds no date where there is none, fills an empty
// one, and moves ours on where something of ours could not be taken back.
func TestDateWithdrawn(t *testing.T) {
	last := keep(noon)
	const ours = ` xmp:Rating="1" xmpDM:good="True" xmpDM:scene="03" xmpDM:cameraLabel="A"`
	a := merged(t, Request{Old: []byte(theirs(ours, "")), Want: open(one), Last: &last}, Withdrawn)
	if string(a.Bytes) != theirs("", "") {
		t.Errorf("withdrawn: %s", a.Bytes)
	}
	b := merged(t, Request{Old: []byte(theirs(ours+` xmp:MetadataDate=""`, "")), Want: open(one), Last: &last}, Withdrawn)
	if string(b.Bytes) != theirs(` xmp:MetadataDate="`+one+`"`, "") {
		t.Errorf("withdrawn: %s", b.Bytes)
	}
	twice := theirs(ours+` xmp:MetadataDate="`+noon+`"`, "<xmp:Rating>1</xmp:Rating>")
	c := merged(t, Request{Old: []byte(twice), Want: open(one), Last: &last}, Conflict)
	if string(c.Bytes) != theirs(` xmp:Rating="1" xmp:MetadataDate="`+one+`"`, "<xmp:Rating>1</xmp:Rating>") {
		t.Errorf("withdrawn: %s", c.Bytes)
	}
	if diff := cmp.Diff(Values{Rating: ptr(1), MetadataDate: one}, c.Wrote); diff != "" {
		t.Errorf("remembered: %s", diff)
	}
}

func TestKeywords(t *testing.T) {
	with := func(v Values, k ...string) Values {
		v.Keywords = append([]string{}, k...)
		return v
	}
	const list = `
   <dc:subject>
    <rdf:Bag>
     <rdf:li>bride</rdf:li>
     <rdf:li>album</rdf:li>
    </rdf:Bag>
   </dc:subject>`
	old := theirs("", list)
	a := merged(t, Request{Old: []byte(old), Want: with(keep(noon), "album", "retouch", "retouch", "")}, Merged)
	if diff := cmp.Diff([]string{"bride", "album", "retouch"}, get(t, a.Bytes).Keywords); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"retouch"}, a.Wrote.Keywords); diff != "" {
		t.Errorf("album was there before: %s", diff)
	}
	// Not asked for: ours stay.
	b := merged(t, Request{Old: a.Bytes, Want: keep(noon), Last: &a.Wrote}, Unchanged)
	// Asked for, and none: ours go, theirs stay.
	c := merged(t, Request{Old: a.Bytes, Want: with(keep(noon)), Last: &b.Wrote}, Merged)
	if diff := cmp.Diff([]string{"bride", "album"}, get(t, c.Bytes).Keywords); diff != "" {
		t.Error(diff)
	}
	// Withdrawn: all of ours go.
	d := merged(t, Request{Old: a.Bytes, Want: open(noon), Last: &b.Wrote}, Withdrawn)
	if string(d.Bytes) != old {
		t.Errorf("withdrawn: %s", d.Bytes)
	}
	// A new list, and away with it.
	e := merged(t, Request{Old: []byte(theirs("", "")), Want: with(keep(noon), "album")}, Merged)
	f := merged(t, Request{Old: e.Bytes, Want: open(noon), Last: &e.Wrote}, Withdrawn)
	if string(f.Bytes) != theirs("", "") {
		t.Errorf("withdrawn: %s", f.Bytes)
	}
}

// TestMalformed: what cannot be edited is left, said, and hinders nothing else.
func TestMalformed(t *testing.T) {
	asked := keep(noon)
	asked.Keywords = []string{"album"}
	for name, c := range map[string]struct {
		attrs, content string
		named          string
		good           bool // whether the judgement could be written
	}{
		"keywords as text":  {` dc:subject="a, b"`, "", "dc:subject", true},
		"keywords twice":    {` dc:subject="a"`, "<dc:subject><rdf:Bag/></dc:subject>", "dc:subject", true},
		"rating twice":      {` xmp:Rating="1"`, "<xmp:Rating>1</xmp:Rating>", "xmp:Rating", false},
		"rating as a list":  {"", "<xmp:Rating><rdf:Bag/></xmp:Rating>", "xmp:Rating", false},
		"good as structure": {"", "<xmpDM:good rdf:parseType='Resource'><q:a/></xmpDM:good>", "xmpDM:good", false},
		"scene twice":       {` xmpDM:scene="1"`, "<xmpDM:scene/>", "xmpDM:scene", true},
	} {
		old := theirs(c.attrs, c.content)
		for _, replace := range []bool{false, true} {
			got := merged(t, Request{Old: []byte(old), Want: asked, Replace: replace}, Conflict)
			if !strings.Contains(got.Reason, c.named) {
				t.Errorf("%s: reason %q", name, got.Reason)
			}
			if v := get(t, got.Bytes); (v.Good != nil) != c.good || v.CameraLabel != "A" {
				t.Errorf("%s: %s", name, got.Bytes)
			}
			if c.content != "" && !bytes.Contains(got.Bytes, []byte("<q:Curve/>"+c.content)) {
				t.Errorf("%s: changed: %s", name, got.Bytes)
			}
		}
	}
}

// TestUnreadable: such a sidecar is left alone, and what we remember of it too.
func TestUnreadable(t *testing.T) {
	last := keep(noon)
	for name, old := range map[string]string{
		"empty": "", "cut off": theirs("", "")[:300], "no XMP": "<html/>", "binary": "\x00\x01\x02",
		"doctype": "<!DOCTYPE a>" + theirs("", ""),
	} {
		got := Merge(Request{Old: []byte(old), Want: drop(one), Last: &last, Replace: true})
		if got.Action != Failed || got.Bytes != nil || got.Reason == "" {
			t.Errorf("%s: %s %q", name, got.Action, got.Reason)
		}
		if diff := cmp.Diff(last, got.Wrote); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
	for name, want := range map[string]Values{
		"rating": {Rating: ptr(6)}, "scene": {Scene: "a\x1b[0m"}, "keyword": {Keywords: []string{"\xff"}},
	} {
		for _, old := range [][]byte{nil, []byte(theirs("", ""))} {
			if got := Merge(Request{Old: old, Want: want}); got.Action != Failed || got.Bytes != nil {
				t.Errorf("%s: %s, %s", name, got.Action, got.Bytes)
			}
		}
	}
}

// TestReasonIsSafe: a hostile value cannot reach the terminal in a reason.
func TestReasonIsSafe(t *testing.T) {
	old := theirs(` xmpDM:scene="&#x9b;31m&#x202e;`+strings.Repeat("x", 1000)+`"`, "")
	got := merged(t, Request{Old: []byte(old), Want: keep(noon)}, Conflict)
	if len(got.Reason) > 300 || strings.ContainsAny(got.Reason, "\u009b\u202e") {
		t.Errorf("reason %q", got.Reason)
	}
}

func ExampleMerge() {
	first := Merge(Request{Want: Values{Rating: ptr(1), MetadataDate: "2026-06-13T12:00:00+02:00"}})
	again := Merge(Request{Old: first.Bytes, Want: Values{Rating: ptr(-1)}, Last: &first.Wrote})
	rated := bytes.Replace(first.Bytes, []byte(">1<"), []byte(">4<"), 1)
	theirs := Merge(Request{Old: rated, Want: Values{Rating: ptr(-1)}, Last: &first.Wrote})
	fmt.Println(first.Action, again.Action, theirs.Action)
	fmt.Println(theirs.Reason)
	// Output:
	// written merged conflict
	// xmp:Rating is "4", which is not ours; wanted "-1"
}
