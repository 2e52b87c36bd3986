package sidecar

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestNames: XMP Part 3, p. 7: the same folder, the main document's name, the
// extension .xmp.
func TestNames(t *testing.T) {
	for _, c := range []struct {
		file  string
		style Style
		want  []string
	}{
		{"IMG_0001.CR3", Short, []string{"IMG_0001.xmp"}},
		{"IMG_0001.CR3", Full, []string{"IMG_0001.CR3.xmp"}},
		{"A/IMG_0001.CR3", Both, []string{"A/IMG_0001.xmp", "A/IMG_0001.CR3.xmp"}},
		{"A.b/IMG_0001", Both, []string{"A.b/IMG_0001.xmp"}},
		{"a/.CR3", Short, []string{"a/.CR3.xmp"}},
		{"x.y.NEF", Short, []string{"x.y.xmp"}},
	} {
		if diff := cmp.Diff(c.want, Names(c.file, c.style)); diff != "" {
			t.Errorf("%s %s: %s", c.file, c.style, diff)
		}
	}
}

func TestTargets(t *testing.T) {
	for name, c := range map[string]struct {
		style   Style
		listing []string
		shared  bool
		want    []string
	}{
		"none, short":           {Short, []string{"IMG_0001.CR3", "IMG_0002.xmp"}, false, []string{"IMG_0001.xmp"}},
		"none, both":            {Both, nil, false, []string{"IMG_0001.xmp", "IMG_0001.CR3.xmp"}},
		"other name":            {Short, []string{"IMG_0001.CR3.xmp"}, false, []string{"IMG_0001.CR3.xmp"}},
		"other case":            {Short, []string{"img_0001.XMP"}, false, []string{"img_0001.XMP"}},
		"two cases":             {Short, []string{"IMG_0001.XMP", "IMG_0001.xmp"}, false, []string{"IMG_0001.xmp", "IMG_0001.XMP"}},
		"both there":            {Full, []string{"IMG_0001.CR3.xmp", "IMG_0001.xmp"}, false, []string{"IMG_0001.xmp", "IMG_0001.CR3.xmp"}},
		"both asked, one there": {Both, []string{"IMG_0001.cr3.xmp"}, false, []string{"IMG_0001.cr3.xmp", "IMG_0001.xmp"}},
		"shared":                {Short, []string{"IMG_0001.xmp"}, true, []string{"IMG_0001.CR3.xmp"}},
		"shared, full there":    {Short, []string{"IMG_0001.xmp", "IMG_0001.CR3.XMP"}, true, []string{"IMG_0001.CR3.XMP"}},
	} {
		if diff := cmp.Diff(c.want, Targets("IMG_0001.CR3", c.style, c.listing, c.shared)); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}

// TestShared: two exposures that would claim one file both get their full names.
func TestShared(t *testing.T) {
	got := Shared(map[string]string{
		"A/IMG_0001.CR3": "1", "A/IMG_0001.JPG": "2", // another exposure
		"A/IMG_0002.CR3": "3", "A/IMG_0002.JPG": "3", // one exposure
		"B/IMG_0001.CR3": "4",                        // another folder
		"A/IMG_0003.CR3": "5", "A/img_0003.nef": "6", // one name where case does not count
		"A/x.CR3": "7", "A/x.CR3.JPG": "8", // the short name of one is the full name of the other
	})
	want := map[string]bool{"A/IMG_0001.CR3": true, "A/IMG_0001.JPG": true, "A/IMG_0003.CR3": true, "A/img_0003.nef": true, "A/x.CR3.JPG": true}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
