package scan

import (
	"testing"
	"time"

	"garner/cull"
)

func at(ns, digits int) cull.Stamp {
	return cull.Stamp{Wall: time.Date(2026, 6, 13, 14, 2, 5, ns, time.UTC), Digits: digits}
}

func TestSameExposure(t *testing.T) {
	base := facts{class: classRaw, kind: "DNG", model: "Five", serial: "1", taken: at(130e6, 3), size: 10, head: "aa", dir: "A", stem: "lmr_0001"}
	with := func(change func(*facts)) facts { f := base; f.head = "bb"; change(&f); return f }
	jpeg := func(f *facts) { f.class, f.kind = classJPEG, "JPEG" }
	tests := []struct {
		name string
		b    facts
		want bool
	}{
		{"the same bytes under another name", func() facts { f := base; f.stem = "x"; f.taken = cull.Stamp{}; return f }(), true},
		{"its JPEG with fewer sub-second digits", with(func(f *facts) { jpeg(f); f.taken = at(130e6, 2) }), true},
		{"its JPEG under another name", with(func(f *facts) { jpeg(f); f.stem = "x" }), true},
		{"JPEG of the next frame of the burst", with(func(f *facts) { jpeg(f); f.taken = at(230e6, 3) }), false},
		{"JPEG of another body", with(func(f *facts) { jpeg(f); f.serial = "2" }), false},
		{"JPEG without sub-second under another name", with(func(f *facts) { jpeg(f); f.taken = at(0, 0); f.stem = "x" }), false},
		{"JPEG without sub-second under the same name", with(func(f *facts) { jpeg(f); f.taken = at(0, 0) }), true},
		{"another raw of the same instant under another name", with(func(f *facts) { f.stem = "x" }), false},
		{"a damaged twin", with(func(f *facts) {}), true},
		{"a JPEG without any metadata beside it", with(func(f *facts) { jpeg(f); f.taken = cull.Stamp{}; f.model, f.serial = "", "" }), true},
		{"such a JPEG in another folder", with(func(f *facts) { jpeg(f); f.taken = cull.Stamp{}; f.dir = "B" }), false},
	}
	for _, tt := range tests {
		if got := sameExposure(base, tt.b); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
		if got := sameExposure(tt.b, base); got != tt.want {
			t.Errorf("%s, the other way round: %v", tt.name, got)
		}
	}
}

// The fraction keeps its leading zero and the digits the file carried (CHECKS
// 2c: "07" and "7" are different sub-seconds; Exif 2.2, SubSecTimeOriginal).
func TestFraction(t *testing.T) {
	for _, tt := range []struct {
		ns, digits int
		want       string
	}{{70e6, 2, "07"}, {700e6, 1, "7"}, {700e6, 3, "700"}, {0, 0, ""}, {5, 9, "000000005"}} {
		if got := (facts{taken: at(tt.ns, tt.digits)}).fraction(); got != tt.want {
			t.Errorf("%d ns, %d digits: %q, want %q", tt.ns, tt.digits, got, tt.want)
		}
	}
}

func TestIdentitiesNeverUseTheName(t *testing.T) {
	f := facts{model: "Five", serial: "1", taken: at(130e6, 3), counter: 9, size: 10, head: "aa", dir: "A", stem: "one"}
	g := f
	g.dir, g.stem = "B", "two"
	a, b := f.identities(), g.identities()
	if len(a) != 3 {
		t.Fatalf("identities %v", a)
	}
	for i := range a {
		if a[i] != b[i] {
			t.Errorf("%q changed with the name to %q", a[i], b[i])
		}
	}
}
