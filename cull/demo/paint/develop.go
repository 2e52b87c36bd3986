package paint

import (
	"image"
	"math"
	"math/rand/v2"
)

// Development is how a body turns light into a picture.
type Development struct {
	Exposure float32 // factor on all light: 2 is one stop more
	Warmth   float32 // white balance: positive is warmer, 0.1 a clear shift
	Grain    float32 // standard deviation in 8-bit steps at full size
	Seed     uint64  // of the grain
	Turn     int     // Exif orientation 1, 6 or 8: how the upright canvas is stored
}

// curve maps linear light to 8.8 fixed-point sRGB with a soft shoulder and toe.
// The index is the square root of the light, which puts the steps where the
// eye sees them.
type curve [4096]int32

const curveTop = 8

func newCurve() *curve {
	var t curve
	for i := range t {
		s := float64(i) / float64(len(t)-1)
		x := s * s * curveTop
		// The rational curve of Narkowicz, "ACES filmic tone mapping" (2015),
		// slightly less exposed.
		x *= 0.8
		y := (x * (2.51*x + 0.03)) / (x*(2.43*x+0.59) + 0.14)
		t[i] = int32(255 * 256 * toSRGB(min(y*1.01, 1)))
	}
	t[len(t)-1] = 255 * 256
	return &t
}

func (t *curve) at(v float32) int32 {
	if v <= 0 {
		return 0
	}
	i := float32(math.Sqrt(float64(v/curveTop))) * float32(len(t)-1)
	if i >= float32(len(t)-1) {
		return t[len(t)-1]
	}
	return t[int(i)]
}

// Developer holds the tables that all frames share; it is safe for concurrent
// use once made.
type Developer struct {
	curve *curve
	grain []int8 // normal noise, 64 steps per standard deviation
}

// grainSide is the side of the grain tile, a power of two.
const grainSide = 512

// NewDeveloper makes the tables.
func NewDeveloper() *Developer {
	r := rand.New(rand.NewPCG(7, 11))
	d := &Developer{curve: newCurve(), grain: make([]int8, grainSide*grainSide)}
	noise := make([]float64, len(d.grain))
	for i := range noise {
		noise[i] = r.NormFloat64()
	}
	// A little of each neighbour makes clumps, as film and demosaicing do.
	for i := range d.grain {
		n := len(noise) - 1
		v := 0.72*noise[i] + 0.34*noise[(i+1)&n] + 0.34*noise[(i+grainSide)&n] + 0.2*noise[(i+grainSide+1)&n]
		d.grain[i] = int8(min(max(v*40, -127), 127))
	}
	return d
}

// plane is a developed picture: luma in 8.8 fixed point, chroma at half size.
type plane struct {
	w, h   int
	y      []uint16
	cb, cr []uint8
}

// Develop turns the canvas into stored pictures: at the canvas's own size, and
// at w×h (stored, so the long side is w).
func (d *Developer) Develop(c *Canvas, how Development, w, h int) (screen, full *image.YCbCr) {
	p := d.expose(c, how)
	if how.Turn == 6 || how.Turn == 8 {
		p = p.turn(how.Turn)
	}
	return d.print(p, p.w, p.h, how, 0.6), d.print(p, w, h, how, 1)
}

func (d *Developer) expose(c *Canvas, how Development) plane {
	w, h := c.W, c.H
	p := plane{w, h, make([]uint16, w*h), make([]uint8, (w/2)*(h/2)), make([]uint8, (w/2)*(h/2))}
	gr, gb := how.Exposure*(1+how.Warmth), how.Exposure*(1-how.Warmth)
	norm := 4 / float32(w*w+h*h)
	for y := 0; y+1 < h; y += 2 {
		for x := 0; x+1 < w; x += 2 {
			dx, dy := float32(x-w/2), float32(y-h/2)
			fall := 1 - 0.45*(dx*dx+dy*dy)*norm
			var sr, sg, sb int32
			for k := range 4 {
				i := (y+k>>1)*w + x + k&1
				v := c.Pix[3*i : 3*i+3]
				r, g, b := d.curve.at(v[0]*gr*fall), d.curve.at(v[1]*how.Exposure*fall), d.curve.at(v[2]*gb*fall)
				// JFIF (ITU-T T.871) §7: Y = 0.299 R + 0.587 G + 0.114 B.
				p.y[i] = uint16((19595*r + 38470*g + 7471*b) >> 16)
				sr, sg, sb = sr+r, sg+g, sb+b
			}
			// Cb and Cr of the mean of four pixels, 8.8 fixed point to 8 bits.
			sr, sg, sb = sr>>10, sg>>10, sb>>10
			j := y/2*(w/2) + x/2
			p.cb[j] = clamp(128 + (-11059*sr-21709*sg+32768*sb)>>16)
			p.cr[j] = clamp(128 + (32768*sr-27439*sg-5329*sb)>>16)
		}
	}
	return p
}

// turn stores an upright picture rotated: Exif orientation 6 is shown by turning
// it 90° clockwise, 8 by turning it 90° counter-clockwise.
func (p plane) turn(orientation int) plane {
	q := plane{p.h, p.w, make([]uint16, len(p.y)), make([]uint8, len(p.cb)), make([]uint8, len(p.cr))}
	rotate(p.y, q.y, p.w, p.h, orientation)
	rotate(p.cb, q.cb, p.w/2, p.h/2, orientation)
	rotate(p.cr, q.cr, p.w/2, p.h/2, orientation)
	return q
}

func rotate[T any](src, dst []T, w, h, orientation int) {
	for y := range h {
		for x := range w {
			if orientation == 6 {
				dst[(w-1-x)*h+y] = src[y*w+x]
			} else {
				dst[x*h+h-1-y] = src[y*w+x]
			}
		}
	}
}

// print scales to w×h, adds grain and rounds to 8 bits.
func (d *Developer) print(p plane, w, h int, how Development, grain float32) *image.YCbCr {
	img := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	r := rand.New(rand.NewPCG(how.Seed, uint64(w)))
	amount := int32(how.Grain * grain * 6.4) // 40 steps are one deviation, 8.8 fixed point
	xs, ts := steps(p.w, w)
	ys, us := steps(p.h, h)
	off := r.IntN(grainSide)
	// Source rows, stretched sideways once each; a row of the result lies
	// between two of them.
	upper, lower := stretched{row: -1, v: make([]int32, w)}, stretched{row: -1, v: make([]int32, w)}
	for y := range h {
		if ys[y] == lower.row {
			upper, lower = lower, upper
		}
		upper.set(p, ys[y], xs, ts)
		lower.set(p, min(ys[y]+1, p.h-1), xs, ts)
		u := us[y]
		out := img.Y[y*img.YStride:][:w]
		if y%grainSide == 0 {
			off = r.IntN(grainSide)
		}
		tile := d.grain[(y%grainSide)*grainSide:][:grainSide]
		a, b := upper.v[:w], lower.v[:w]
		for x := range out {
			v := (a[x]*(256-u) + b[x]*u) >> 8
			// Deep shadows and clipped whites show less grain than the middle.
			g := int32(tile[(x+off)&(grainSide-1)]) * amount * (40 + min(v>>8, 255-v>>8)) >> 7
			out[x] = clamp((v + g + 128) >> 8)
		}
	}
	scaleChroma(p.cb, img.Cb, p.w/2, p.h/2, (w+1)/2, (h+1)/2)
	scaleChroma(p.cr, img.Cr, p.w/2, p.h/2, (w+1)/2, (h+1)/2)
	return img
}

// stretched is one luma row brought to the output's width.
type stretched struct {
	row int
	v   []int32
}

func (s *stretched) set(p plane, row int, xs []int, ts []int32) {
	if s.row == row {
		return
	}
	s.row = row
	src := p.y[row*p.w:][:p.w]
	for x := range s.v {
		i, t := xs[x], ts[x]
		s.v[x] = (int32(src[i])*(256-t) + int32(src[min(i+1, p.w-1)])*t) >> 8
	}
}

func scaleChroma(src, dst []uint8, sw, sh, w, h int) {
	if sw == w && sh == h {
		copy(dst, src)
		return
	}
	xs, ts := steps(sw, w)
	ys, us := steps(sh, h)
	for y := range h {
		a, b := src[ys[y]*sw:][:sw], src[min(ys[y]+1, sh-1)*sw:][:sw]
		for x := range w {
			i, i1, t := xs[x], min(xs[x]+1, sw-1), ts[x]
			v0 := int32(a[i])*(256-t) + int32(a[i1])*t
			v1 := int32(b[i])*(256-t) + int32(b[i1])*t
			dst[y*w+x] = uint8((v0*(256-us[y]) + v1*us[y] + 1<<15) >> 16)
		}
	}
}

// steps gives for every output position the input position to its left and the
// weight (of 256) of the one to its right.
func steps(from, to int) (pos []int, weight []int32) {
	pos, weight = make([]int, to), make([]int32, to)
	for i := range to {
		f := min(max((float64(i)+0.5)*float64(from)/float64(to)-0.5, 0), float64(from-1))
		pos[i] = int(f)
		weight[i] = int32((f - math.Floor(f)) * 256)
	}
	return pos, weight
}

func clamp(v int32) uint8 { return uint8(min(max(v, 0), 255)) }
