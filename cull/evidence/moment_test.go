package evidence

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"garner/cull"
)

// at is a part of a picture with so much blur; what it shows has so much structure.
func at(x, y, size, blur, structure float64) (cull.Region, cull.Sharpness) {
	return cull.Region{X: x, Y: y, W: size, H: size}, cull.Sharpness{Energy: structure / (blur * blur), Edge: blur, Blur: blur, Noise: 2, Pixels: 256}
}

func tile(x, y, blur float64) cull.Spot {
	r, s := at(x, y, 0.05, blur, 0.01)
	return cull.Spot{Region: r, By: cull.ByTile, Sharpness: s}
}

func subject(x, y, blur float64) cull.Spot {
	s := tile(x, y, blur)
	s.By = cull.BySubject
	return s
}

func face(x, size, blur float64, eyes cull.Eyes) cull.Face {
	r, s := at(x, 0.3, size, blur, 0.02)
	f := cull.Face{Region: r, Score: 0.9, Presence: 0.9, Eyes: eyes, EyeApart: 60, Sharpness: s}
	if told(f) {
		f.Opening = map[cull.Eyes]float64{cull.EyesOpen: 0.28, cull.EyesCheck: 0.12, cull.EyesClosed: 0.05}[eyes]
	}
	return f
}

// frame has spots and faces; without faces nobody looked for them.
func frame(id string, parts ...any) Measured {
	m := Measured{ID: cull.ID(id)}
	m.Measures.Focus = cull.Focus{Method: 1, Width: 6000, Height: 4000}
	for _, p := range parts {
		switch p := p.(type) {
		case cull.Spot:
			m.Measures.Focus.Spots = append(m.Measures.Focus.Spots, p)
		case cull.Face:
			m.Measures.Faces.Method = 1
			m.Measures.Faces.List = append(m.Measures.Faces.List, p)
		}
	}
	return m
}

func small(m Measured) Measured {
	m.Measures.Focus.Small, m.Measures.Focus.Width, m.Measures.Focus.Height = true, 1620, 1080
	return m
}

func TestCompare(t *testing.T) {
	open, closed, check := cull.EyesOpen, cull.EyesClosed, cull.EyesCheck
	grainy := tile(0.2, 0.2, 1.2)
	grainy.Energy /= 3
	for _, c := range []struct {
		name                string
		in                  []Measured
		sharpest, favourite string
		why                 string // a part of it
	}{
		{"nothing", nil, "", "", "not measured"},
		{"not measured", []Measured{{ID: "a"}, {ID: "b"}}, "", "", "not measured yet"},
		{"one of two", []Measured{frame("a", tile(0.2, 0.2, 1)), {ID: "b"}}, "", "", "1 of 2 frames are measured"},
		{"one frame", []Measured{frame("a", tile(0.2, 0.2, 1))}, "", "", "nothing to compare"},
		{"tiles", []Measured{frame("a", tile(0.2, 0.2, 2), tile(0.6, 0.2, 3)), frame("b", tile(0.2, 0.21, 1.2), tile(0.6, 0.2, 2.5))}, "b", "b", "edges 1.2 px against 2.0 px"},
		{"equal", []Measured{frame("a", tile(0.2, 0.2, 1.2)), frame("b", tile(0.2, 0.2, 1.25))}, "", "", "too close to call: the differences may be chance"},
		{"two of three are equal", []Measured{frame("a", tile(0.2, 0.2, 1.2)), frame("b", tile(0.2, 0.2, 1.22)), frame("c", tile(0.2, 0.2, 3))}, "", "", "between 2 of 3 frames"},
		{"the measures disagree", []Measured{frame("a", grainy), frame("b", tile(0.2, 0.2, 1.5))}, "", "", "the two measures disagree"},
		{"a face from closer by", []Measured{frame("a", face(0.3, 0.10, 1.8, open)), frame("b", face(0.3, 0.12, 1.2, open))}, "", "", "at different sizes"},
		{"a subject from closer by", []Measured{frame("a", subject(0.3, 0.3, 1.8), face(0.3, 0.10, 1.8, open)), frame("b", subject(0.3, 0.3, 1.2), face(0.3, 0.12, 1.2, open))}, "", "", "at different sizes"},
		{"a face hardly larger", []Measured{frame("a", face(0.3, 0.10, 1.8, open)), frame("b", face(0.3, 0.11, 1.2, open))}, "b", "b", "1.2 px against 1.8 px"},
		{"two places", []Measured{frame("a", tile(0.2, 0.2, 1.2), tile(0.6, 0.2, 1.8)), frame("b", tile(0.2, 0.2, 1.9), tile(0.6, 0.2, 1.2))}, "", "", "sharp in different places"},
		{"a place of its own", []Measured{frame("a", tile(0.2, 0.2, 1.2)), frame("b", tile(0.2, 0.2, 3), tile(0.7, 0.7, 1.2))}, "", "", "sharp in different places"},
		{"nothing in common", []Measured{frame("a", tile(0.2, 0.2, 1.2)), frame("b", tile(0.7, 0.7, 3))}, "", "", "nothing in common"},
		{"no edges", []Measured{frame("a", tile(0.2, 0.2, 1.2)), frame("b", tile(0.2, 0.2, 0))}, "", "", "nothing in common"},
		{"soft surroundings count for little", []Measured{frame("a", tile(0.2, 0.2, 1.1), tile(0.6, 0.2, 5), tile(0.8, 0.8, 5)), frame("b", tile(0.2, 0.2, 1.4), tile(0.6, 0.2, 5), tile(0.8, 0.8, 4.9))}, "a", "a", "1.1 px against 1.4"},
		{"where the camera focused goes before", []Measured{frame("a", subject(0.4, 0.4, 1.2), tile(0.7, 0.2, 3)), frame("b", subject(0.41, 0.4, 2), tile(0.7, 0.2, 1))}, "a", "a", "1.2 px against 2.0"},
		{"it focused elsewhere", []Measured{frame("a", subject(0.4, 0.4, 1.2), tile(0.7, 0.2, 3)), frame("b", subject(0.6, 0.4, 2), tile(0.7, 0.2, 1.5))}, "b", "b", "1.5 px against 3.0"},
		{"faces go before tiles", []Measured{frame("a", tile(0.7, 0.2, 1), face(0.3, 0.1, 2, open)), frame("b", tile(0.7, 0.2, 3), face(0.32, 0.1, 1.3, open))}, "b", "b", "edges on the face 1.3 px"},
		{"the largest face counts most", []Measured{frame("a", face(0.3, 0.2, 1.2, open), face(0.7, 0.06, 1.5, open)), frame("b", face(0.3, 0.2, 1.6, open), face(0.7, 0.06, 1.2, open))}, "a", "a", "edges on 2 faces 1.2 px"},
		{"faces are sharp by turns", []Measured{frame("a", face(0.3, 0.2, 1.2, open), face(0.7, 0.18, 1.8, open)), frame("b", face(0.3, 0.2, 1.8, open), face(0.7, 0.18, 1.2, open))}, "", "", "sharp in different places"},
		{"too small", []Measured{small(frame("a", tile(0.2, 0.2, 1))), small(frame("b", tile(0.2, 0.2, 3)))}, "", "", "too small to judge focus by: 1620 pixels across"},
		{"one too small", []Measured{small(frame("a", tile(0.2, 0.2, 1))), frame("b", tile(0.2, 0.2, 3))}, "", "", "in 1 of 2 frames the embedded JPEG is too small"},

		{"the sharpest blinks", []Measured{frame("a", face(0.3, 0.2, 1.1, closed)), frame("b", face(0.3, 0.2, 1.5, open)), frame("c", face(0.3, 0.2, 2, open))}, "a", "b", "sharpest by both"},
		{"all but one blink", []Measured{frame("a", face(0.3, 0.2, 1.1, closed)), frame("b", face(0.3, 0.2, 1.5, open))}, "a", "b", "sharpest by both"},
		{"the only one with open eyes is soft", []Measured{frame("a", face(0.3, 0.2, 1.1, closed)), frame("b", face(0.3, 0.2, 2.5, open))}, "a", "", "sharpest by both"},
		{"the open ones are equal", []Measured{frame("a", face(0.3, 0.2, 1.1, closed)), frame("b", face(0.3, 0.2, 1.5, open)), frame("c", face(0.3, 0.2, 1.52, open))}, "a", "", "sharpest by both"},
		{"narrow eyes are not closed", []Measured{frame("a", face(0.3, 0.2, 1.1, check)), frame("b", face(0.3, 0.2, 1.5, open))}, "a", "a", "sharpest by both"},
		{"nobody looked in one", []Measured{frame("a", tile(0.3, 0.3, 1.1)), frame("b", tile(0.3, 0.3, 1.5), face(0.3, 0.2, 1.5, open))}, "a", "a", "sharpest by both"},
	} {
		m := Compare(c.in)
		if string(m.Sharpest) != c.sharpest || string(m.Favourite) != c.favourite || !strings.Contains(m.Why, c.why) {
			t.Errorf("%s: sharpest %q, favourite %q, %q", c.name, m.Sharpest, m.Favourite, m.Why)
		}
		for i, r := range m.Rungs {
			if r.ID != c.in[i].ID || r.Sharpest != (r.ID == m.Sharpest) || r.Measured != c.in[i].Measures.Focus.Known() {
				t.Errorf("%s: %+v", c.name, r)
			}
		}
	}
}

// A frame is soft by itself where neither the subject nor a considerable face is sharp.
func TestSoft(t *testing.T) {
	for _, c := range []struct {
		name  string
		in    Measured
		soft  bool
		where string
	}{
		{"sharp part among soft ones", frame("a", tile(0.1, 0.1, 4), tile(0.5, 0.5, 1.2)), false, "sharpest part"},
		{"soft all over", frame("a", tile(0.1, 0.1, 4), tile(0.5, 0.5, 2.3)), true, "sharpest part"},
		{"between", frame("a", tile(0.5, 0.5, 1.9)), false, "sharpest part"},
		{"soft subject before a sharp wall", frame("a", subject(0.5, 0.5, 2.4), tile(0.1, 0.1, 1)), true, "where the camera focused"},
		{"soft face before a sharp wall", frame("a", face(0.4, 0.2, 2.4, cull.EyesOpen), tile(0.1, 0.1, 1)), true, "largest face"},
		{"a sharp passer-by", frame("a", face(0.4, 0.2, 2.4, cull.EyesOpen), face(0.8, 0.05, 1.2, cull.EyesOpen)), true, "largest face"},
		{"the second is nearly as large", frame("a", face(0.3, 0.2, 2.4, cull.EyesOpen), face(0.7, 0.15, 1.2, cull.EyesOpen)), false, "face 2 of 2"},
		{"too small to say", small(frame("a", tile(0.5, 0.5, 4))), false, "sharpest part"},
		{"nothing to judge by", frame("a", tile(0.5, 0.5, 0)), false, ""},
	} {
		s, where := Judged(c.in.Measures)
		if r := Compare([]Measured{c.in}).Rungs[0]; r.Soft != c.soft || where != c.where || s.Known() != (where != "") {
			t.Errorf("%s: %+v, %q", c.name, r, where)
		}
	}
}

func TestCountEyes(t *testing.T) {
	open := cull.EyesOpen
	in := []Measured{
		frame("a", face(0.1, 0.1, 1, open), face(0.4, 0.1, 1, cull.EyesClosed), face(0.7, 0.1, 1, cull.EyesTooSmall)),
		frame("b", face(0.1, 0.1, 1, open), face(0.4, 0.1, 1, cull.EyesCheck)),
		frame("c", face(0.1, 0.1, 1, open), face(0.7, 0.1, 1, cull.EyesInProfile)),
		frame("d"),
	}
	in[1].Measures.Faces.List[0].Opening = 0.15 // of a face that has 0.28 else
	m := Compare(in)
	for i, want := range []EyesOf{{3, 1, 0, 1, 1}, {2, 0, 2, 0, 0}, {2, 1, 0, 0, 1}, {}} {
		if m.Rungs[i].Eyes != want {
			t.Errorf("frame %d: %+v, want %+v", i, m.Rungs[i].Eyes, want)
		}
	}
}

// Whatever was measured, also what is no number: who is named depends on no order, is
// one of the frames, is no worse than anyone, and is named only if all were measured;
// among copies of one frame nobody is.
func TestCompareAnything(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1e300}
	number := func(v float64) float64 {
		if r.IntN(40) == 0 {
			return odd[r.IntN(len(odd))]
		}
		return v
	}
	named := 0
	for range 3000 {
		in := make([]Measured, r.IntN(6))
		for i := range in {
			var parts []any
			blur := 1 + 2*r.Float64()
			for k := range r.IntN(5) {
				s := tile(number(0.2*float64(k)+0.01*r.Float64()), 0.3, number(blur*(0.9+0.2*r.Float64())))
				if r.IntN(4) == 0 {
					s.By = cull.BySubject
				}
				s.Energy = number(s.Energy)
				parts = append(parts, s)
			}
			if r.IntN(2) == 0 {
				parts = append(parts, face(number(0.5), number(0.1), number(blur), cull.Eyes(r.IntN(7))))
			}
			in[i] = frame(fmt.Sprint(i), parts...)
			if r.IntN(20) == 0 {
				in[i].Measures.Focus.Method = 0
			}
			if r.IntN(20) == 0 {
				in[i] = small(in[i])
			}
		}
		m := Compare(in)
		if m.Why == "" || strings.Contains(m.Why, "NaN") || strings.Contains(m.Why, "Inf") || len(m.Rungs) != len(in) {
			t.Fatalf("seed %d: %+v", seed, m)
		}
		marked := 0
		for i, g := range m.Rungs {
			if g.Sharpest {
				marked++
				named++
				for k := range in {
					if k != i && compare(&in[k].Measures, &in[i].Measures).sharper() {
						t.Fatalf("seed %d: %s is named, %s is sharper", seed, g.ID, in[k].ID)
					}
				}
			}
			if (g.Sharpest || g.ID == m.Favourite) && (!g.Measured || g.Small) || g.Sharpest != (g.ID == m.Sharpest) {
				t.Fatalf("seed %d: %+v", seed, m)
			}
		}
		if marked > 1 || marked == 0 != (m.Sharpest == "") {
			t.Fatalf("seed %d: %d are marked, %q is named", seed, marked, m.Sharpest)
		}
		mixed := slices.Clone(in)
		r.Shuffle(len(mixed), func(i, k int) { mixed[i], mixed[k] = mixed[k], mixed[i] })
		if o := Compare(mixed); o.Sharpest != m.Sharpest || o.Favourite != m.Favourite || o.Why != m.Why {
			t.Fatalf("seed %d: %q for %q, favourite %q for %q in another order:\n%s\n%s", seed, o.Sharpest, m.Sharpest, o.Favourite, m.Favourite, o.Why, m.Why)
		}
		if len(in) > 0 {
			copies := slices.Repeat(in[:1], 3)
			if o := Compare(copies); o.Sharpest != "" {
				t.Fatalf("seed %d: a copy is named: %s", seed, o.Why)
			}
		}
	}
	if named < 300 {
		t.Errorf("seed %d: only %d named", seed, named)
	}
}

// A moment of many frames is compared in no time, whoever is in it.
func BenchmarkCompare(b *testing.B) {
	for _, n := range []int{7, 40, 400} {
		in := make([]Measured, n)
		for i := range in {
			var parts []any
			for k := range cull.MaxSpots {
				parts = append(parts, tile(0.08*float64(k), 0.1, 1.5))
			}
			for k := range 8 {
				parts = append(parts, face(0.1*float64(k), 0.08, 1.5, cull.EyesOpen))
			}
			in[i] = frame(fmt.Sprint(i), parts...)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Compare(in)
			}
		})
	}
}
