package group

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/testdata/testneed"
)

func photograph(t *testing.T, name string) *jpeg.Image {
	t.Helper()
	return picture(t, filepath.Join(testneed.Samples(t), "photos", name+".jpg"), 4)
}

func (f *Frame) see(s seen) {
	f.Look, f.Fingerprint, f.HasFingerprint, f.Luma = s.look, s.fingerprint, true, s.luma
}

func frameOf(s seen) (f Frame) {
	f.see(s)
	return f
}

// TestUnlike moves a window over photographs: what moved little stays alike, where
// a fingerprint alone gives up, and another part of the photograph is another
// picture.
func TestUnlike(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	for _, tc := range []struct {
		moved       float64 // share of the window's width
		least, most int     // of the median
		bare        int     // what fingerprints alone say at least
	}{
		{0, 0, 0, 0},
		{.03, 1, 7, 4},
		{.06, 3, 9, 10},
		{.10, 6, 12, 18},
		{.20, 13, 23, 24},
		{.30, 20, 32, 24},
	} {
		var with, without []int
		for _, name := range photographs {
			c := camera{t, rng, photograph(t, name), .45}
			for range 8 {
				x, y := .1+.2*rng.Float64(), .5*rng.Float64()
				a, b := frameOf(c.at(x, y, 0)), frameOf(c.at(x+tc.moved*c.size, y, 0))
				with, without = append(with, Unlike(a, b)), append(without, Distance(a.Fingerprint, b.Fingerprint))
				if Unlike(a, b) > Distance(a.Fingerprint, b.Fingerprint) {
					t.Errorf("moved by %.0f %%: further apart than the fingerprints", 100*tc.moved)
				}
			}
		}
		slices.Sort(with)
		slices.Sort(without)
		if m := with[len(with)/2]; m < tc.least || m > tc.most {
			t.Errorf("moved by %.0f %%: %v bits, want %d to %d in the middle", 100*tc.moved, with, tc.least, tc.most)
		}
		if m := without[len(without)/2]; m < tc.bare {
			t.Errorf("moved by %.0f %%: fingerprints say %v", 100*tc.moved, without)
		}
	}
	var other []int
	for i, name := range photographs {
		for k, second := range photographs {
			if i == k {
				continue
			}
			a, b := camera{t, rng, photograph(t, name), .45}, camera{t, rng, photograph(t, second), .45}
			for range 8 {
				other = append(other, Unlike(frameOf(a.at(.5*rng.Float64(), .5*rng.Float64(), 0)), frameOf(b.at(.5*rng.Float64(), .5*rng.Float64(), 0))))
			}
		}
	}
	slices.Sort(other)
	if other[0] < 17 {
		t.Errorf("other photographs: %v bits", other)
	}
}

// TestUnlikeUnknown: frames that were never measured, or one in another way.
func TestUnlikeUnknown(t *testing.T) {
	l := cull.Look{Method: 1, Parts: [cull.LookParts]uint64{7}}
	other := cull.Look{Method: 2, Parts: l.Parts}
	for _, tc := range []struct {
		what string
		a, b Frame
		want int
	}{
		{"nothing known", Frame{}, Frame{}, Unknown},
		{"one known", Frame{HasFingerprint: true}, Frame{}, Unknown},
		{"fingerprints", Frame{HasFingerprint: true, Fingerprint: 15}, Frame{HasFingerprint: true}, 4},
		{"looks alone", Frame{Look: &l}, Frame{Look: &l}, 0},
		{"looks of two methods", Frame{Look: &l}, Frame{Look: &other}, Unknown},
		{"a look that was not measured", Frame{Look: &cull.Look{}}, Frame{Look: &l}, Unknown},
		{"a look and a fingerprint", Frame{Look: &l}, Frame{HasFingerprint: true}, Unknown},
	} {
		if got := Unlike(tc.a, tc.b); got != tc.want {
			t.Errorf("%s: %d, want %d", tc.what, got, tc.want)
		}
		if _, _, ok := Shift(tc.a, tc.b); ok {
			t.Errorf("%s: a shift", tc.what)
		}
	}
}

func TestShift(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 9))
	for _, most := range []float64{.05, .15, .25} {
		right, n := 0, 0
		for _, name := range photographs {
			c := camera{t, rng, photograph(t, name), .45}
			for range 12 {
				dx, dy := most*(2*rng.Float64()-1), most*(2*rng.Float64()-1)
				x, y := .15+.2*rng.Float64(), .15+.2*rng.Float64()
				a, b := frameOf(c.at(x, y, 0)), frameOf(c.at(x+dx*c.size, y+dy*c.size, 0))
				gotX, gotY, ok := Shift(a, b)
				n++
				if ok && math.Abs(gotX-dx) < .03 && math.Abs(gotY-dy) < .03 {
					right++
				} else if ok && most < .1 {
					t.Errorf("%s moved by %.2f %.2f: %.2f %.2f", name, dx, dy, gotX, gotY)
				}
			}
		}
		if least := n * 8 / 10; right < least {
			t.Errorf("moved by up to %.0f %%: right in %d of %d, want %d", 100*most, right, n, least)
		}
	}
}

// TestUnlikeHolds: any looks at all are compared without a panic, the same either
// way round but for rounding, and never further apart than their fingerprints.
func TestUnlikeHolds(t *testing.T) {
	const seed = 11
	rng := rand.New(rand.NewPCG(seed, seed))
	looks := make([]Frame, 60)
	for i := range looks {
		looks[i] = frameOf(seen{look: anyLook(rng)})
		looks[i].Fingerprint = looks[i].Look.Parts[0]
	}
	for _, a := range looks {
		if Unlike(a, a) != 0 {
			t.Fatalf("seed %d: a look unlike itself", seed)
		}
		for _, b := range looks {
			d, back, bare := Unlike(a, b), Unlike(b, a), Distance(a.Fingerprint, b.Fingerprint)
			if d < 0 || d > bare || d-back > 4 || back-d > 4 {
				t.Fatalf("seed %d: %d one way, %d the other, fingerprints %d\n%v\n%v", seed, d, back, bare, *a.Look, *b.Look)
			}
			for limit := range 40 {
				if w := unlikeWithin(&a, &b, limit); w != d && (w <= limit || d <= limit) {
					t.Fatalf("seed %d: %d within %d, %d without a limit", seed, w, limit, d)
				}
			}
			if dx, dy, ok := Shift(a, b); ok && (math.IsNaN(dx+dy) || math.Abs(dx) > 1 || math.Abs(dy) > 1) {
				t.Fatalf("seed %d: moved by %v, %v", seed, dx, dy)
			}
		}
	}
}

// anyLook is flat, falling, stepped or noise.
func anyLook(rng *rand.Rand) *cull.Look {
	l := &cull.Look{Method: 1, Red: uint8(rng.Uint32()), Green: uint8(rng.Uint32()), Blue: uint8(rng.Uint32()), Grey: rng.IntN(4) == 0}
	for i := range l.Parts {
		l.Parts[i] = rng.Uint64()
	}
	for _, bars := range []*[cull.LookBars]uint8{&l.Columns, &l.Rows} {
		kind, level, edge := rng.IntN(4), rng.IntN(256), rng.IntN(cull.LookBars)
		for i := range bars {
			switch {
			case kind == 1:
				bars[i] = uint8(max(0, level-8*i))
			case kind == 2 && i > edge:
				bars[i] = uint8(255 - level)
			case kind == 3:
				bars[i] = uint8(rng.Uint32())
			default:
				bars[i] = uint8(level)
			}
		}
	}
	for i := range l.Detail {
		l.Detail[i] = uint8(rng.Uint32())
	}
	return l
}
