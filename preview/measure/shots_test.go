package measure_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/jpeg"
)

// This file makes of a sharp picture what a camera might have made of it: out of focus
// or moved, exposed otherwise, noisy, coded.

// grey is a picture in floating point.
type grey struct {
	w, h int
	v    []float32
}

func newGrey(w, h int) grey { return grey{w, h, make([]float32, w*h)} }

func greyOf(m *jpeg.Image) grey {
	g := newGrey(m.Width, m.Height)
	for y := range g.h {
		for x, v := range m.Y[y*m.YStride:][:g.w] {
			g.v[y*g.w+x] = float32(v)
		}
	}
	return g
}

// row repeats the outermost rows.
func (g grey) row(y int) []float32 { return g.v[min(max(y, 0), g.h-1)*g.w:][:g.w] }

// blurred is g behind a Gaussian.
func (g grey) blurred(sigma float64) grey {
	if sigma == 0 {
		return g
	}
	n := int(3*sigma) + 1
	kernel := make([]float32, 2*n+1)
	var sum float32
	for i := range kernel {
		d := float64(i - n)
		kernel[i] = float32(math.Exp(-d * d / (2 * sigma * sigma)))
		sum += kernel[i]
	}
	across, out := newGrey(g.w, g.h), newGrey(g.w, g.h)
	line := make([]float32, g.w+2*n)
	for y := range g.h {
		row := g.row(y)
		for i := range line {
			line[i] = row[min(max(i-n, 0), g.w-1)]
		}
		to := across.row(y)
		for k, c := range kernel {
			for x, v := range line[k:][:g.w] {
				to[x] += c / sum * v
			}
		}
	}
	for y := range g.h {
		to := out.row(y)
		for k, c := range kernel {
			for x, v := range across.row(y + k - n) {
				to[x] += c / sum * v
			}
		}
	}
	return out
}

// moved is g behind a movement of so many pixels in a direction.
func (g grey) moved(length, angle float64) grey {
	if length == 0 {
		return g
	}
	n := int(length) + 2
	out := newGrey(g.w, g.h)
	for i := range n {
		d := (float64(i)/float64(n-1) - 0.5) * length
		dx, dy := d*math.Cos(angle), d*math.Sin(angle)
		x0, y0 := int(math.Floor(dx)), int(math.Floor(dy))
		fx, fy := float32(dx-float64(x0)), float32(dy-float64(y0))
		for y := range g.h {
			a, b, to := g.row(y+y0), g.row(y+y0+1), out.row(y)
			for x := range to {
				l, r := min(max(x+x0, 0), g.w-1), min(max(x+x0+1, 0), g.w-1)
				to[x] += ((a[l]*(1-fx)+a[r]*fx)*(1-fy) + (b[l]*(1-fx)+b[r]*fx)*fy) / float32(n)
			}
		}
	}
	return out
}

// exposed is g with so much more light (sRGB, IEC 61966-2-1), clipped at white.
func (g grey) exposed(ev float64) grey {
	var table [1024]float32
	for i := range table {
		v := float64(i) / 1023
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		v = min(v*math.Exp2(ev), 1)
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		table[i] = float32(255 * v)
	}
	out := newGrey(g.w, g.h)
	for i, v := range g.v {
		out.v[i] = table[min(max(int(v/255*1023+0.5), 0), 1023)]
	}
	return out
}

// The kinds of noise.
const (
	white    = iota // white
	smoothed        // as a camera leaves it that smooths: spots of 1 px deviation, with 0.7 of the deviation
	denoised        // white, and then a filter that means those neighbours that are as bright (Lee's sigma filter, 5x5)
)

// fields are normal deviates to take noise from, and the same smoothed to 0.7 of the
// deviation.
var fields = func() (f [2]grey) {
	r := rand.New(rand.NewPCG(8, 15))
	f[white] = newGrey(512, 512)
	for i := range f[white].v {
		f[white].v[i] = float32(r.NormFloat64())
	}
	f[smoothed] = f[white].blurred(1)
	for i := range f[smoothed].v {
		f[smoothed].v[i] *= float32(2 * math.SqrtPi * 0.7)
	}
	return f
}()

// noisy adds noise of a deviation.
func (g grey) noisy(deviation float64, kind int, r *rand.Rand) grey {
	if deviation == 0 {
		return g
	}
	out := grey{g.w, g.h, slices.Clone(g.v)}
	field := fields[kind%denoised]
	dx, dy := r.IntN(512), r.IntN(512)
	for y := range g.h {
		row, to := field.row((y+dy)%512), out.row(y)
		for x := range to {
			to[x] += float32(deviation) * row[(x+dx)%512]
		}
	}
	if kind == denoised {
		return out.sigmaFiltered(float32(2 * deviation))
	}
	return out
}

func (g grey) sigmaFiltered(within float32) grey {
	out := newGrey(g.w, g.h)
	for y := range g.h {
		to := out.row(y)
		for x, c := range g.row(y) {
			var sum, n float32
			for v := y - 2; v <= y+2; v++ {
				row := g.row(v)
				for u := max(x-2, 0); u <= min(x+2, g.w-1); u++ {
					if d := row[u] - c; d <= within && d >= -within {
						sum, n = sum+row[u], n+1
					}
				}
			}
			to[x] = sum / n
		}
	}
	return out
}

// jpeg codes a picture and decodes it.
func (g grey) coded(t testing.TB) *jpeg.Image {
	t.Helper()
	m, err := jpeg.Decode(g.bytes(t), jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// bytes codes a picture with quality 88.
func (g grey) bytes(t testing.TB) []byte {
	t.Helper()
	m := &jpeg.Image{}
	m.Reset(g.w, g.h, 1, 1, true)
	for i, v := range g.v {
		m.Y[i] = byte(min(max(v+0.5, 0), 255))
	}
	b, err := jpeg.AppendEncode(nil, m, 88)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
