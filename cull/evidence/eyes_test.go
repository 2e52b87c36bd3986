package evidence

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"garner/cull"
)

// The states at and around each value. They are the project's own: what the values
// were found on is said where they stand.
func TestStateOfEyes(t *testing.T) {
	open := Lids{Presence: 0.9, Right: 0.3, Left: 0.28, Width: [2]float64{40, 38}, Apart: 90}
	for name, c := range map[string]struct {
		change  func(*Lids)
		want    cull.Eyes
		opening float64
	}{
		"open":                   {func(*Lids) {}, cull.EyesOpen, 0.28},
		"closed":                 {func(l *Lids) { l.Right, l.Left = 0.05, 0.06 }, cull.EyesClosed, 0.05},
		"a wink":                 {func(l *Lids) { l.Left = 0.07 }, cull.EyesClosed, 0.07},
		"just not closed":        {func(l *Lids) { l.Left = 0.10 }, cull.EyesCheck, 0.10},
		"narrow":                 {func(l *Lids) { l.Left = 0.129 }, cull.EyesCheck, 0.129},
		"just open":              {func(l *Lids) { l.Left = 0.13 }, cull.EyesOpen, 0.13},
		"large enough":           {func(l *Lids) { l.Apart = 20 }, cull.EyesOpen, 0.28},
		"too small":              {func(l *Lids) { l.Apart, l.Right = 19.9, 0.01 }, cull.EyesTooSmall, 0.01},
		"half turned":            {func(l *Lids) { l.Width[1] = 20 }, cull.EyesOpen, 0.28},
		"in profile":             {func(l *Lids) { l.Width[1] = 19.9 }, cull.EyesInProfile, 0.28},
		"in profile to the left": {func(l *Lids) { l.Width[0] = 3 }, cull.EyesInProfile, 0.28},
		"no eye":                 {func(l *Lids) { l.Width[0] = 0 }, cull.EyesInProfile, 0.28},
		"perhaps a face":         {func(l *Lids) { l.Presence = 0.5 }, cull.EyesOpen, 0.28},
		"perhaps none":           {func(l *Lids) { l.Presence, l.Right = 0.49, 0 }, cull.EyesFaceUncertain, 0},
		"no number":              {func(l *Lids) { l.Presence = math.NaN() }, cull.EyesFaceUncertain, 0.28},
		"no opening":             {func(l *Lids) { l.Right = math.NaN() }, cull.EyesFaceUncertain, 0},
	} {
		l := open
		c.change(&l)
		if got, opening := l.State(); got != c.want || opening != c.opening {
			t.Errorf("%s: %d %v, want %d %v", name, got, opening, c.want, c.opening)
		}
	}
	if got, _ := (Lids{}).State(); got != cull.EyesFaceUncertain {
		t.Errorf("nothing measured: %d", got)
	}
}

func faceAt(x, y, w, opening float64) cull.Face {
	f := cull.Face{Region: cull.Region{X: x, Y: y, W: w, H: w * 1.5}, Opening: opening, Eyes: cull.EyesOpen}
	if opening < closedBelow {
		f.Eyes = cull.EyesClosed
	}
	return f
}

func facesOf(list ...cull.Face) cull.Faces {
	return cull.Faces{Method: 1, Width: 6000, Height: 4000, List: list}
}

func TestEyesAlongABurst(t *testing.T) {
	burst := []cull.Faces{
		facesOf(faceAt(0.20, 0.2, 0.1, 0.30), faceAt(0.6, 0.2, 0.08, 0.15)),
		facesOf(faceAt(0.61, 0.21, 0.08, 0.15), faceAt(0.21, 0.2, 0.1, 0.29)), // another order
		facesOf(faceAt(0.22, 0.2, 0.1, 0.17), faceAt(0.62, 0.2, 0.08, 0.16)),  // open by itself, half of what it was
		facesOf(faceAt(0.23, 0.2, 0.1, 0.05)),
		facesOf(),
		facesOf(faceAt(0.24, 0.2, 0.1, 0.31), faceAt(0.62, 0.22, 0.08, 0.15)),
	}
	wantSame := [][]int{{0, 1}, {1, 0}, {0, 1}, {0}, {}, {0, 1}}
	if got := SameFaces(burst); !reflect.DeepEqual(got, wantSame) {
		t.Errorf("same faces: %v, want %v", got, wantSame)
	}
	o, c, k := cull.EyesOpen, cull.EyesCheck, cull.EyesClosed
	want := [][]cull.Eyes{{o, o}, {o, o}, {c, o}, {k}, {}, {o, o}}
	if got := EyesAlong(burst); !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	// Two frames tell nothing of what is usual.
	if got := EyesAlong([]cull.Faces{burst[0], burst[2]}); got[1][0] != o {
		t.Errorf("of two frames: %v", got)
	}
	// What nothing is said of says nothing of the others either.
	small := faceAt(0.2, 0.2, 0.1, 0.5)
	small.Eyes = cull.EyesTooSmall
	if got := EyesAlong([]cull.Faces{facesOf(small), facesOf(small), facesOf(small), facesOf(faceAt(0.2, 0.2, 0.1, 0.2))}); got[0][0] != cull.EyesTooSmall || got[3][0] != o {
		t.Errorf("of small ones: %v", got)
	}
}

// Whatever the faces are: every face has a state, numbers are given once a frame, and
// the rule only ever turns open into worth a look.
func TestEyesAlongAnyFaces(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 1))
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1}
	value := func() float64 {
		if r.IntN(8) == 0 {
			return odd[r.IntN(len(odd))]
		}
		return r.Float64()
	}
	for range 200 {
		var burst []cull.Faces
		for range r.IntN(6) {
			f := cull.Faces{Width: r.IntN(3), Height: r.IntN(3)}
			for range r.IntN(12) {
				f.List = append(f.List, cull.Face{Region: cull.Region{X: value(), Y: value(), W: value(), H: value()}, Opening: value(), Eyes: cull.Eyes(r.IntN(7))})
			}
			burst = append(burst, f)
		}
		same, eyes := SameFaces(burst), EyesAlong(burst)
		for i, f := range burst {
			seen := map[int]bool{}
			for k, face := range f.List {
				n := same[i][k]
				if n >= 0 && seen[n] || n >= cull.MaxFaces {
					t.Fatalf("number %d in %v", n, same[i])
				}
				seen[n] = true
				if e := eyes[i][k]; e != face.Eyes && (face.Eyes != cull.EyesOpen || e != cull.EyesCheck) {
					t.Fatalf("%d becomes %d", face.Eyes, e)
				}
			}
		}
	}
}
