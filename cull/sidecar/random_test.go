package sidecar

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/preview/xmp"
)

// TestRandomHistories hands a frame off again and again while its decision
// changes and somebody else edits the file in between. Whatever happens: theirs
// is never replaced, a second run changes nothing, and as long as nobody else
// touched the file, opening the frame again gives back the first bytes.
func TestRandomHistories(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		origin := []byte(theirs(rapid.SampledFrom([]string{"", ` xmp:Rating="4"`, ` xmp:Rating="1"`, ` xmpDM:scene="beach"`,
			` xmp:MetadataDate="2026-06-12T09:00:00Z"`}).Draw(rt, "attributes"),
			rapid.SampledFrom([]string{"", "<dc:subject><rdf:Bag><rdf:li>album</rdf:li></rdf:Bag></dc:subject>",
				"<xmpDM:good>False</xmpDM:good>", "<dc:creator><rdf:Seq><rdf:li>Ben</rdf:li></rdf:Seq></dc:creator>",
				"<dc:creator>Anna</dc:creator>", "<dc:rights><rdf:Alt><rdf:li xml:lang='x-default'>(c)</rdf:li><rdf:li xml:lang='de'>(c) de</rdf:li></rdf:Alt></dc:rights>"}).Draw(rt, "content")))
		now := origin
		var last *Values
		touched, dateMoved := false, bytes.Contains(origin, []byte("MetadataDate"))
		for i := range rapid.IntRange(1, 8).Draw(rt, "steps") {
			date := time.Date(2026, 6, 13, 12, i, 0, 0, time.UTC).Format(time.RFC3339)
			if rapid.IntRange(0, 3).Draw(rt, "who") == 0 {
				next, err := somebody(rt, now)
				if err != nil {
					rt.Fatal(err)
				}
				touched = touched || !bytes.Equal(next, now)
				now = next
				continue
			}
			want := rapid.SampledFrom([]Values{keep(date), drop(date), open(date)}).Draw(rt, "decision")
			if !want.IsZero() && rapid.Bool().Draw(rt, "with keywords") {
				want.Keywords = rapid.SliceOfN(rapid.SampledFrom([]string{"album", "retouch"}), 0, 2).Draw(rt, "keywords")
			}
			if !want.IsZero() {
				want.Creator = rapid.SampledFrom([]string{"", "Anna", "Ben"}).Draw(rt, "creator")
				want.Rights = rapid.SampledFrom([]string{"", "(c)", "(c) Anna"}).Draw(rt, "rights")
				want.Credit = rapid.SampledFrom([]string{"", "Studio"}).Draw(rt, "credit")
			}
			before, err := Read(now)
			if err != nil {
				rt.Fatal(err)
			}
			got := Merge(Request{Old: now, Want: want, Last: last})
			if got.Action == Failed {
				rt.Fatal(got.Reason)
			}
			if got.Bytes != nil {
				now = got.Bytes
			}
			after, err := Read(now)
			if err != nil {
				rt.Fatal(err)
			}
			if r := before.Rating; r != nil && *r != 0 && (last == nil || last.Rating == nil || *last.Rating != *r) {
				if after.Rating == nil || *after.Rating != *r {
					rt.Fatalf("somebody else's rating %d is lost:\n%s", *r, now)
				}
			}
			for _, c := range []struct{ what, was, ours, is string }{
				{"creator", before.Creator, wrote(last).Creator, after.Creator},
				{"credit", before.Credit, wrote(last).Credit, after.Credit},
				{"rights", before.Rights, wrote(last).Rights, after.Rights},
			} {
				if c.was != "" && c.was != c.ours && c.is != c.was {
					rt.Fatalf("somebody else's %s %q became %q:\n%s", c.what, c.was, c.is, now)
				}
			}
			last = &got.Wrote
			again := Merge(Request{Old: now, Want: want, Last: last})
			if again.Bytes != nil {
				rt.Fatalf("the second time writes %s", again.Bytes)
			}
			if want.IsZero() && !touched && !dateMoved && !bytes.Equal(now, origin) {
				rt.Fatalf("open again, and not as it was:\n%s\n%s", now, origin)
			}
		}
	})
}

func wrote(v *Values) Values {
	if v == nil {
		return Values{}
	}
	return *v
}

// somebody edits one property of a sidecar.
func somebody(rt *rapid.T, b []byte) ([]byte, error) {
	d, err := xmp.Parse(b)
	if err != nil {
		return nil, err
	}
	e := rapid.SampledFrom([]xmp.Edit{
		{NS: xmp.NSXMP, Prefix: "xmp", Name: "Rating", Value: fmt.Sprint(rapid.IntRange(-1, 5).Draw(rt, "stars"))},
		{NS: xmp.NSXMP, Name: "Rating", Remove: true},
		{NS: xmp.NSXMPDM, Prefix: "xmpDM", Name: "good", Value: "False"},
		{NS: xmp.NSXMPDM, Prefix: "xmpDM", Name: "scene", Value: "dance"},
		{NS: xmp.NSXMP, Prefix: "xmp", Name: "MetadataDate", Value: "2030-01-01T00:00:00Z"},
		{NS: xmp.NSDC, Prefix: "dc", Name: "subject", AddToBag: []string{"retouch", "bride"}},
		{NS: xmp.NSDC, Prefix: "dc", Name: "subject", RemoveFromBag: []string{"retouch"}},
		{NS: xmp.NSDC, Prefix: "dc", Name: "rights", Value: "(c) Cleo", As: xmp.Alt},
		{NS: xmp.NSPress, Prefix: "press", Name: "Credit", Value: "Agency"},
		{NS: xmp.NSDC, Prefix: "dc", Name: "creator", AddToBag: []string{"Ben", "Cleo"}},
		{NS: "urn:editor", Prefix: "q", Name: "Exposure", Value: "-1"},
	}).Draw(rt, "edit")
	if b2, err := d.Apply([]xmp.Edit{e}); err == nil {
		return b2, nil
	}
	return b, nil // a form that the edit does not fit
}
