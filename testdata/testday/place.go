package testday

import (
	"math"
	"math/rand/v2"
)

// What a picture of an invented place looks like is drawn, not thrown: a place is
// a panorama of light and dark at all sizes, as pictures are (amplitude falls as
// 1/frequency), a view is a window of it with people before it, and a look is
// measured of the view as of any picture. Held against real ones, by bits in which
// the DCT hashes of two frames differ (least, middle, most):
//
//	three photographs, the window moved by   1 %   0  2  8
//	                                         2 %   2  6 10
//	                                         4 %   4 10 16
//	                                         6 %  10 16 22
//	                                        10 %  16 24 30
//	                                        15 %  26 32 38
//	other windows of the same photograph          24 32 44
//	other photographs                             20 32 46
//	a video at 10 fps, people walking: next frame  0  2  4, within a burst of 6 at most 10
//	a video at 10 fps, hardly anything moves:      0  0  2, within a burst at most 4
//
// TestAsOnRealPictures holds the invented ones against these.
type place struct {
	seed  uint64
	ev    float64 // at ISO 100, of the middle of the place
	cast  [3]float64
	flash float64 // share of moments with flash
	lens  [2]int  // from and up to, of lenses
}

// Colours of light, as factors of the mean luma.
var (
	warm  = [3]float64{1.12, 1, .84}
	cool  = [3]float64{.96, 1, 1.08}
	green = [3]float64{.98, 1.06, .9}
	gold  = [3]float64{1.15, 1.02, .8}
	lamp  = [3]float64{1.25, 1, .66}
	night = [3]float64{.9, .98, 1.2}
	dance = [3]float64{1.1, .85, 1.15}
)

// lens is a lens and the part of its range that is used.
type lens struct {
	name  string
	focal [2]float64 // mm
}

var lenses = []lens{
	{name: "24-70mm F2.8", focal: [2]float64{24, 50}},
	{name: "24-70mm F2.8", focal: [2]float64{35, 70}},
	{name: "50mm F1.4", focal: [2]float64{50, 50}},
	{name: "85mm F1.4", focal: [2]float64{85, 85}},
	{name: "70-200mm F2.8", focal: [2]float64{70, 200}},
}

const macro = "100mm F2.8 Macro"

// degreesWide is the width of the picture of a lens on a 36 mm sensor.
func degreesWide(focal float64) float64 { return 2 * math.Atan(18/focal) * 180 / math.Pi }

// The panorama of a place: a full circle wide, a quarter high.
const (
	wide      = 1536
	high      = 384
	perDegree = wide / 360.
	coarsest  = 128 // size of the largest patches of light and dark
)

// panorama is the light and dark of a place, from -1 to 1, and the same at half the
// size, and so on.
type panorama struct{ levels []grid }

type grid struct {
	w, h int
	v    []float32
}

func newGrid(w, h int) grid { return grid{w, h, make([]float32, w*h)} }

// at interpolates; x goes round.
func (g grid) at(x, y float64) float64 {
	x, y = x-.5, min(max(y-.5, 0), float64(g.h-1)-1e-6)
	fx, fy := math.Floor(x), math.Floor(y)
	x0, y0 := int(fx)%g.w, int(fy)
	if x0 < 0 {
		x0 += g.w
	}
	x1 := x0 + 1
	if x1 == g.w {
		x1 = 0
	}
	rx, ry := float32(x-fx), float32(y-fy)
	upper := g.v[y0*g.w:]
	lower := upper
	if y0+1 < g.h {
		lower = g.v[(y0+1)*g.w:]
	}
	a := upper[x0] + rx*(upper[x1]-upper[x0])
	b := lower[x0] + rx*(lower[x1]-lower[x0])
	return float64(a + ry*(b-a))
}

// newPanorama adds noise of all sizes, each of half the size with half the height,
// and some things with edges.
func newPanorama(seed uint64) panorama {
	rng := rand.New(rand.NewPCG(seed, 3))
	g := newGrid(wide/coarsest, high/coarsest)
	height := float32(1)
	for {
		for i := range g.v {
			g.v[i] += height * float32(rng.NormFloat64())
		}
		if g.w == wide/2 {
			g = g.double()
			break
		}
		g = g.double()
		height *= .55
	}
	for range 150 {
		w, h := int((1+12*rng.Float64())*perDegree), int((2+18*rng.Float64())*perDegree)
		x, y, v := rng.IntN(wide), rng.IntN(high), float32(rng.NormFloat64()*.9)
		for yy := y; yy < min(y+h, high); yy++ {
			for xx := x; xx < x+w; xx++ {
				g.v[yy*wide+xx%wide] += v
			}
		}
	}
	p := panorama{levels: []grid{g}}
	for range 3 {
		g = g.half()
		p.levels = append(p.levels, g)
	}
	return p
}

// double interpolates to twice the size: each new sample lies a quarter from one
// old sample and three quarters from another.
func (g grid) double() grid {
	across := newGrid(2*g.w, g.h)
	for y := range g.h {
		row, out := g.v[y*g.w:][:g.w], across.v[2*y*g.w:][:2*g.w]
		left := row[g.w-1]
		for x, v := range row {
			right := row[0]
			if x+1 < g.w {
				right = row[x+1]
			}
			out[2*x], out[2*x+1] = .25*left+.75*v, .75*v+.25*right
			left = v
		}
	}
	out := newGrid(2*g.w, 2*g.h)
	for y := range g.h {
		row := across.v[y*out.w:][:out.w]
		above, below := across.v[max(y-1, 0)*out.w:][:out.w], across.v[min(y+1, g.h-1)*out.w:][:out.w]
		upper, lower := out.v[2*y*out.w:][:out.w], out.v[(2*y+1)*out.w:][:out.w]
		for x, v := range row {
			upper[x], lower[x] = .25*above[x]+.75*v, .75*v+.25*below[x]
		}
	}
	return out
}

func (g grid) half() grid {
	out := newGrid(g.w/2, g.h/2)
	for y := range out.h {
		for x := range out.w {
			a, b := g.v[2*y*g.w+2*x:], g.v[(2*y+1)*g.w+2*x:]
			out.v[y*out.w+x] = (a[0] + a[1] + b[0] + b[1]) / 4
		}
	}
	return out
}
