package sidecar

import (
	"bytes"
	"slices"
	"testing"

	"garner/preview/xmp"
)

// FuzzMerge: no panic; a file that fails is left alone; somebody else's rating
// stays; the second time changes nothing; the result can be read.
func FuzzMerge(f *testing.F) {
	f.Add([]byte(theirs("", "")), int8(1), "03", "album", false)
	f.Add([]byte(theirs(` xmp:Rating="4" xmp:MetadataDate="2026"`, "")), int8(-1), "", "", false)
	f.Add([]byte(theirs(` xmp:Rating="4"`, "<dc:subject><rdf:Bag><rdf:li>album</rdf:li></rdf:Bag></dc:subject>")), int8(5), "a<b", "a", true)
	f.Add([]byte(theirs("", "<xmp:Rating><!-- a -->0</xmp:Rating><xmpDM:good/>")), int8(1), " ", " ", false)
	f.Add([]byte(theirs("", twoMade+german)), int8(1), "x", "y", true)
	f.Add([]byte(theirs("", benMade)), int8(1), "x", "Ben", true)
	f.Add([]byte("\xFE\xFF\x00<"), int8(0), "", "", true)
	f.Fuzz(func(t *testing.T, old []byte, rating int8, scene, keyword string, replace bool) {
		want := Values{Rating: ptr(int(rating)), Good: ptr(rating > 0), Scene: scene, Creator: keyword, Credit: scene, Rights: scene, Keywords: []string{keyword}, MetadataDate: noon}
		r := Request{Old: slices.Clip(append([]byte{}, old...)), Want: want, Replace: replace}
		got := Merge(r)
		if got.Action == Failed {
			if got.Bytes != nil || got.Reason == "" {
				t.Fatalf("failed with %q, reason %q", got.Bytes, got.Reason)
			}
			return
		}
		before, err := xmp.Parse(old)
		if err != nil {
			t.Fatalf("%s although %v", got.Action, err)
		}
		if !bytes.Equal(r.Old, old) {
			t.Fatal("the input was written to")
		}
		now := old
		if got.Bytes != nil {
			now = got.Bytes
		}
		after, err := xmp.Parse(now)
		if err != nil {
			t.Fatal(err)
		}
		had, ok := before.Get(xmp.NSXMP, "Rating")
		has, _ := after.Get(xmp.NSXMP, "Rating")
		if ok && !unrated(had) && !replace && had != has {
			t.Fatalf("rating %q became %q", had, has)
		}
		stable(t, r, got)
	})
}
