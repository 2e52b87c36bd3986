package store

import (
	"strings"
	"testing"
	"unicode/utf8"
)

func TestPartialName(t *testing.T) {
	if got := PartialName("IMG_0001.CR3", "1f"); got != ".IMG_0001.CR3.1f.garner-partial" {
		t.Error(got)
	}
	for name, want := range map[string]bool{
		".IMG_0001.CR3.1f.garner-partial": true,
		"..1.garner-partial":              true,
		"IMG_0001.CR3.1f.garner-partial":  false, // without the dot it may be a person's own
		".garner-partial":                 false,
		".x.garner-partial":               false,
		".x..garner-partial":              false,
		".x.1.garner-partial.txt":         false,
		"":                                false,
	} {
		if IsPartial(name) != want {
			t.Errorf("IsPartial(%q) = %v", name, !want)
		}
	}
}

// FuzzPartialName holds: the name is recognised, fits, carries the beginning of
// the target's name, and is not cut inside a character.
func FuzzPartialName(f *testing.F) {
	f.Add("IMG_0001.CR3", "0a1b2c3d")
	f.Add(strings.Repeat("ä", 127), "00")
	f.Add(strings.Repeat("\xff", 300), "1")
	f.Add("", "x")
	f.Fuzz(func(t *testing.T, base, token string) {
		if token == "" || len(token) > 32 || strings.Contains(token, ".") {
			t.Skip()
		}
		name := PartialName(base, token)
		if !IsPartial(name) {
			t.Errorf("%q is not recognised", name)
		}
		if len(name) > 255 {
			t.Errorf("%d bytes", len(name))
		}
		kept := strings.TrimSuffix(name[1:], "."+token+partialSuffix)
		if !strings.HasPrefix(base, kept) {
			t.Errorf("%q is not the beginning of %q", kept, base)
		}
		if utf8.ValidString(base) && !utf8.ValidString(kept) {
			t.Errorf("%q was cut inside a character", kept)
		}
	})
}
