package face

import (
	"image"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// long skips what takes a minute unless GARNER_FACES_LONG is set: what DEVELOPERS.md
// says of faces that are small, turned or badly lit is measured here.
func long(t *testing.T) {
	if os.Getenv("GARNER_FACES_LONG") == "" {
		t.Skip("takes a minute: GARNER_FACES_LONG=1")
	}
}

// moved is the count of a photograph that was moved, without what may be missed.
func (c counted) moved(to move) counted {
	faces := c.faces
	c.faces, c.ignore = nil, nil
	for _, f := range faces {
		if !f.may {
			p := to.of(Point{f.x, f.y})
			f.x, f.y, f.w = p.X, p.Y, f.w*to.scale()
			c.faces = append(c.faces, f)
		}
	}
	return c
}

// hits reports for each counted face whether it was found.
func hits(t *testing.T, r *Reader, c counted, m *jpeg.Image) []bool {
	found, err := r.Find(t.Context(), m)
	if err != nil {
		t.Fatal(err)
	}
	out := make([]bool, len(c.faces))
	for i, k := range judge(c, found).of {
		out[i] = k >= 0
	}
	return out
}

func TestLongWidths(t *testing.T) {
	long(t)
	limits := []float64{20, 25, 30, 40, 1e9} // widths in pixels of 1024
	n, hit := make([]int, len(limits)), make([]int, len(limits))
	r := New()
	for _, c := range truth(t) {
		m := photo(t, c)
		for _, edge := range []float64{1024, 700, 480, 330, 230, 160} {
			if edge > float64(max(m.Width, m.Height)) {
				continue
			}
			canvas, put := turned(m, searchEdge, edge, 0)
			d := c.moved(put)
			for i, ok := range hits(t, r, d, canvas) {
				k := 0
				for d.faces[i].w >= limits[k] {
					k++
				}
				if n[k]++; ok {
					hit[k]++
				}
			}
		}
	}
	for k, least := range []float64{0, 0.1, 0.5, 0.7, 0.99} {
		t.Logf("width below %v: %d of %d", limits[k], hit[k], n[k])
		if float64(hit[k]) < least*float64(n[k]) {
			t.Errorf("width below %v: %d of %d, want a share of %v", limits[k], hit[k], n[k], least)
		}
	}
}

// Faces of 40 pixels and more in a picture that is turned.
func TestLongTurned(t *testing.T) {
	long(t)
	r := New()
	for _, c := range []struct{ degrees, least float64 }{{20, 0.97}, {30, 0.93}, {45, 0.86}, {60, 0.6}} {
		hit, n := 0, 0
		for _, p := range truth(t) {
			m := photo(t, p)
			for _, degrees := range []float64{-c.degrees, c.degrees} {
				w, h := float64(m.Width), float64(m.Height)
				canvas, put := turned(m, searchEdge, searchEdge*max(w, h)/math.Hypot(w, h), degrees) // all of it stays inside
				d := p.moved(put)
				for i, ok := range hits(t, r, d, canvas) {
					if d.faces[i].w < 40 {
						continue
					}
					if n++; ok {
						hit++
					}
				}
			}
		}
		t.Logf("turned by %v degrees to either side: %d of %d", c.degrees, hit, n)
		if float64(hit) < c.least*float64(n) {
			t.Errorf("turned by %v degrees: %d of %d, want a share of %v", c.degrees, hit, n, c.least)
		}
	}
}

func TestLongLight(t *testing.T) {
	long(t)
	rnd := rand.New(rand.NewPCG(1, 2))
	luma := func(f func(v float64) float64) func(*jpeg.Image) {
		return func(m *jpeg.Image) {
			for i, v := range m.Y {
				m.Y[i] = byte(min(max(f(float64(v)), 0), 255))
			}
		}
	}
	r := New()
	for _, c := range []struct {
		name   string
		change func(*jpeg.Image)
		least  int // of 91
	}{
		{"grey", func(m *jpeg.Image) { m.Cb, m.Cr, m.SubX, m.SubY = nil, nil, 1, 1 }, 90},
		{"luma by 3", luma(func(v float64) float64 { return v / 3 }), 89},
		{"luma by 6", luma(func(v float64) float64 { return v / 6 }), 85},
		{"luma doubled", luma(func(v float64) float64 { return v * 2 }), 79},
		{"noise of 20", luma(func(v float64) float64 { return v + 20*rnd.NormFloat64() }), 89},
	} {
		hit, alarms := 0, 0
		for _, p := range truth(t) {
			m := photo(t, p)
			c.change(m)
			j := judge(p, searched(t, r, m))
			for i, f := range p.faces {
				if !f.may && j.of[i] >= 0 {
					hit++
				}
			}
			alarms += len(j.alarms)
		}
		t.Logf("%s: %d of 91, false alarms: %d", c.name, hit, alarms)
		if hit < c.least || alarms > 3 {
			t.Errorf("%s: %d of 91, want %d; %d false alarms", c.name, hit, c.least, alarms)
		}
	}
}

// What the four parts are for, and that their size does not matter much.
func TestLongParts(t *testing.T) {
	long(t)
	r := New()
	net, err := r.nets.finder()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		share float64 // 0 = the whole alone
		least int
	}{{0, 83}, {0.50, 89}, {0.54, 90}, {0.58, 90}, {0.65, 90}} {
		hit, alarms := 0, 0
		for _, p := range truth(t) {
			m := photo(t, p)
			small := pix.Fit(m, searchEdge)
			w, h := small.Width, small.Height
			runs := []image.Rectangle{image.Rect(0, 0, w, h)}
			if side := int(c.share * float64(max(w, h))); side > 0 {
				pw, ph := min(side, w), min(side, h)
				for _, at := range []image.Point{{}, {w - pw, 0}, {0, h - ph}, {w - pw, h - ph}} {
					runs = append(runs, image.Rect(0, 0, pw, ph).Add(at))
				}
			}
			var all []sighting
			for _, part := range runs {
				seen, err := r.look(net, small, part)
				if err != nil {
					t.Fatal(err)
				}
				all = append(all, seen...)
			}
			found := merge(all)
			for i, f := range found {
				found[i] = f.In(float64(m.Width)/float64(w), image.Point{})
			}
			j := judge(p, found)
			for i, f := range p.faces {
				if !f.may && j.of[i] >= 0 {
					hit++
				}
			}
			alarms += len(j.alarms)
		}
		t.Logf("parts of %v: %d of 91, false alarms: %d", c.share, hit, alarms)
		if hit < c.least || alarms > 2 {
			t.Errorf("parts of %v: %d of 91, want %d; %d false alarms", c.share, hit, c.least, alarms)
		}
	}
}
