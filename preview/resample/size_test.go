package resample

import (
	"errors"
	"image"
	"math"
	"math/rand/v2"
	"testing"
)

// Paper at 300 ppi: an inch is 25.4 mm; A4 and A3 are 210 x 297 and 297 x 420 mm (ISO
// 216). Common sizes of prints.
func TestPaper(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		w, h int
	}{{4, 6, 1200, 1800}, {5, 7, 1500, 2100}, {8, 10, 2400, 3000}, {8, 12, 2400, 3600}, {11, 14, 3300, 4200}} {
		if w, h := Inches(c.a, 300), Inches(c.b, 300); w != c.w || h != c.h {
			t.Errorf("%g x %g in: %d x %d", c.a, c.b, w, h)
		}
	}
	for _, c := range []struct {
		a, b float64
		w, h int
	}{{100, 150, 1181, 1772}, {130, 180, 1535, 2126}, {200, 300, 2362, 3543}, {300, 400, 3543, 4724}, {210, 297, 2480, 3508}, {297, 420, 3508, 4961}} {
		if w, h := Millimetres(c.a, 300), Millimetres(c.b, 300); w != c.w || h != c.h {
			t.Errorf("%g x %g mm: %d x %d", c.a, c.b, w, h)
		}
	}
}

// Sizes of common sensors on the web and on screens, by the proportion rounded to the
// nearest pixel.
func TestSizes(t *testing.T) {
	long, hd, uhd := Size{Kind: LongEdge, W: 2048}, Size{Kind: Fit, W: 1920, H: 1080}, Size{Kind: Fit, W: 3840, H: 2160}
	for _, c := range []struct {
		s    Size
		w, h int
		to   image.Point
	}{
		{long, 6000, 4000, image.Pt(2048, 1365)},
		{long, 4000, 6000, image.Pt(1365, 2048)},
		{long, 8192, 5464, image.Pt(2048, 1366)},
		{long, 5184, 3888, image.Pt(2048, 1536)},
		{long, 1600, 1067, image.Pt(1600, 1067)},
		{long, 2048, 1365, image.Pt(2048, 1365)},
		{long, 2049, 1365, image.Pt(2048, 1364)},
		{hd, 6000, 4000, image.Pt(1620, 1080)},
		{hd, 4000, 6000, image.Pt(720, 1080)},
		{hd, 5184, 3888, image.Pt(1440, 1080)},
		{hd, 8192, 5464, image.Pt(1619, 1080)},
		{uhd, 6000, 4000, image.Pt(3240, 2160)},
		{uhd, 4000, 6000, image.Pt(1440, 2160)},
		{uhd, 3000, 2000, image.Pt(3000, 2000)},
		{Size{}, 6000, 4000, image.Pt(6000, 4000)},
		{long, 30000, 5, image.Pt(2048, 1)},
		{long, 1, 1, image.Pt(1, 1)},
		{Size{Kind: LongEdge, W: 2048, Enlarge: true}, 1600, 1067, image.Pt(2048, 1366)},
		{Size{Kind: Fit, W: 3840, H: 2160, Enlarge: true}, 3000, 2000, image.Pt(3240, 2160)},
		{Size{Kind: Fit, W: 1080, H: 1920, EitherWay: true}, 6000, 4000, image.Pt(1620, 1080)},
		{Size{Kind: Exact, W: 1800, H: 1200}, 6000, 4000, image.Pt(1800, 1200)},
		{Size{Kind: Exact, W: 1200, H: 1800, EitherWay: true}, 6000, 4000, image.Pt(1800, 1200)},
		{Size{Kind: Exact, W: 1200, H: 1800, EitherWay: true}, 4000, 6000, image.Pt(1200, 1800)},
		{Size{Kind: Exact, W: 1181, H: 1772, EitherWay: true}, 6000, 4000, image.Pt(1772, 1181)},
		{Size{Kind: Exact, W: 3000, H: 2400, Crop: true}, 6000, 4000, image.Pt(3000, 2400)},
		{Size{Kind: Exact, W: 3000, H: 2400, Crop: true}, 1500, 1000, image.Pt(1250, 1000)},
		{Size{Kind: Exact, W: 3000, H: 2400, Crop: true, Enlarge: true}, 1500, 1000, image.Pt(3000, 2400)},
		{Size{Kind: Exact, W: 3000, H: 2000, Enlarge: true}, 1500, 1000, image.Pt(3000, 2000)},
	} {
		p, err := c.s.Plan(c.w, c.h, 1)
		if err != nil {
			t.Errorf("%+v of %d x %d: %v", c.s, c.w, c.h, err)
		} else if image.Pt(p.UprightW, p.UprightH) != c.to || image.Pt(p.W, p.H) != c.to {
			t.Errorf("%+v of %d x %d: %+v, not %v", c.s, c.w, c.h, p, c.to)
		}
	}
}

// 2:3 on 8 x 10 in costs a sixth of the long side, cut where the set says, and only
// if it says so.
func TestCrop(t *testing.T) {
	s := Size{Kind: Exact, W: 2400, H: 3000, EitherWay: true}
	_, err := s.Plan(6000, 4000, 1)
	var shape *ShapeError
	if !errors.As(err, &shape) || *shape != (ShapeError{6000, 4000, 3000, 2400}) {
		t.Errorf("an uncropped 8 x 10 in: %v", err)
	}
	s.Crop = true
	for _, c := range []struct {
		across, down float64
		w, h, turn   int
		crop         image.Rectangle
	}{
		{0, 0, 6000, 4000, 1, image.Rect(500, 0, 5500, 4000)},
		{-1, 1, 6000, 4000, 1, image.Rect(0, 0, 5000, 4000)},
		{1, 1, 6000, 4000, 1, image.Rect(1000, 0, 6000, 4000)},
		{0.5, 0, 6000, 4000, 1, image.Rect(750, 0, 5750, 4000)},
		{9, 0, 6000, 4000, 1, image.Rect(1000, 0, 6000, 4000)},
		{math.NaN(), 0, 6000, 4000, 1, image.Rect(500, 0, 5500, 4000)},
		{0, -1, 4000, 6000, 1, image.Rect(0, 0, 4000, 5000)},
		// Stored on its side: the top of what is seen is the left of what is stored (6),
		// or its right (8); upside down it is the bottom.
		{0, -1, 6000, 4000, 6, image.Rect(0, 0, 5000, 4000)},
		{0, -1, 6000, 4000, 8, image.Rect(1000, 0, 6000, 4000)},
		{0, -1, 4000, 6000, 3, image.Rect(0, 1000, 4000, 6000)},
	} {
		s.Across, s.Down = c.across, c.down
		if p, err := s.Plan(c.w, c.h, c.turn); err != nil || p.Crop != c.crop || p.Smaller {
			t.Errorf("%+v: %+v, %v", c, p, err)
		}
	}
}

func TestPlanErrors(t *testing.T) {
	for _, s := range []Size{{Kind: LongEdge}, {Kind: Fit, W: 5}, {Kind: Exact, H: 5}, {Kind: Fit, W: -1, H: 5}, {Kind: 9, W: 1, H: 1}, {Kind: LongEdge, W: MaxEdge + 1}} {
		if p, err := s.Plan(30, 20, 1); err == nil || p != (Plan{}) {
			t.Errorf("%+v: %+v, %v", s, p, err)
		}
	}
	if _, err := (Size{}).Plan(0, 20, 1); err == nil {
		t.Error("no columns")
	}
}

// Whatever is asked of whatever picture: the part lies inside of it, nothing is
// enlarged unasked, boxes are kept, shapes are within half a pixel, and the turned
// picture is the plan of the picture stored upright.
func TestPlanProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 8))
	edge := func() int { return 1 + r.IntN(1<<r.IntN(16)) }
	for range 20000 {
		w, h, turn := edge(), edge(), r.IntN(10)
		s := Size{Kind(r.IntN(4)), edge(), edge(), r.IntN(2) == 0, r.IntN(2) == 0, r.IntN(2) == 0, 3*r.Float64() - 1.5, 3*r.Float64() - 1.5}
		p, err := s.Plan(w, h, turn)
		var shape *ShapeError
		if errors.As(err, &shape) && s.Kind == Exact && !s.Crop {
			continue
		}
		if err != nil {
			if s.Enlarge {
				continue // may be too large
			}
			t.Fatalf("%+v of %d x %d: %v", s, w, h, err)
		}
		upW, upH := UprightSize(w, h, turn)
		upright, err := s.Plan(upW, upH, 1)
		if err != nil || upright.UprightW != p.UprightW || upright.UprightH != p.UprightH || upright.Smaller != p.Smaller || stored(upright.Crop, w, h, turn) != p.Crop {
			t.Fatalf("%+v of %d x %d: turned %d %+v, upright %+v", s, w, h, turn, p, upright)
		}
		if p.Crop.Empty() || !p.Crop.In(image.Rect(0, 0, w, h)) || s.Kind != Exact && p.Crop != image.Rect(0, 0, w, h) {
			t.Fatalf("%+v of %d x %d: the part %v", s, w, h, p.Crop)
		}
		if (p.W > p.Crop.Dx() || p.H > p.Crop.Dy()) && !s.Enlarge {
			t.Fatalf("%+v of %d x %d: enlarged to %+v", s, w, h, p)
		}
		long := max(p.UprightW, p.UprightH)
		switch boxed := p.UprightW <= s.W && p.UprightH <= s.H; {
		case p.Smaller:
		case s.Kind == LongEdge && long != s.W, s.Kind == Fit && !boxed && !s.EitherWay,
			s.Kind == Exact && max(s.W, s.H) != long, s.Kind == Exact && !s.EitherWay && (p.UprightW != s.W || p.UprightH != s.H):
			t.Fatalf("%+v of %d x %d: %+v", s, w, h, p)
		}
		if s.Kind == LongEdge || s.Kind == Fit {
			exact := float64(p.UprightW) * float64(upH) / float64(upW)
			other := float64(p.UprightH) * float64(upW) / float64(upH)
			if math.Abs(exact-float64(p.UprightH)) > 0.5001 && math.Abs(other-float64(p.UprightW)) > 0.5001 && p.UprightW > 1 && p.UprightH > 1 {
				t.Fatalf("%+v of %d x %d: %+v", s, w, h, p)
			}
		}
	}
}
