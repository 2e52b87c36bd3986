package overlay

import (
	"math"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// plane is a luma, or what was made of one.
type plane struct {
	w, h int
	v    []float32
}

func newPlane(w, h int) plane { return plane{w, h, make([]float32, w*h)} }

func (p plane) long() int { return max(p.w, p.h) }

// planes gives the luma of a picture brought down to a long edge, and of it halves down
// to about the least one.
func planes(m *jpeg.Image, long int) []plane {
	m = pix.Fit(m, long)
	p := newPlane(m.Width, m.Height)
	for y := range p.h {
		for x, v := range m.Y[y*m.YStride:][:p.w] {
			p.v[y*p.w+x] = float32(v)
		}
	}
	all := []plane{p}
	for p.long() >= 2*least {
		p = p.half()
		all = append(all, p)
	}
	return all
}

func (p plane) half() plane {
	out := newPlane(max(1, p.w/2), max(1, p.h/2))
	for y := range out.h {
		for x := range out.w {
			x1, y1 := min(2*x+1, p.w-1), min(2*y+1, p.h-1)
			out.v[y*out.w+x] = (p.v[2*y*p.w+2*x] + p.v[2*y*p.w+x1] + p.v[y1*p.w+2*x] + p.v[y1*p.w+x1]) / 4
		}
	}
	return out
}

// at is the value between four pixels.
func (p plane) at(x, y float64) float32 {
	x, y = max(0, min(float64(p.w-1), x)), max(0, min(float64(p.h-1), y))
	x0, y0 := int(x), int(y)
	x1, y1 := min(x0+1, p.w-1), min(y0+1, p.h-1)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	a, b := p.v[y0*p.w:], p.v[y1*p.w:]
	return (a[x0]*(1-fx)+a[x1]*fx)*(1-fy) + (b[x0]*(1-fx)+b[x1]*fx)*fy
}

// relief gives how each pixel stands against the square of 2r+1 around it, in its
// standard deviations. What varies less than noise does stays flat.
func (p plane) relief(r int) plane {
	w := p.w + 1
	sum, squares := make([]float64, w*(p.h+1)), make([]float64, w*(p.h+1))
	for y := range p.h {
		var s, q float64
		for x, v := range p.v[y*p.w:][:p.w] {
			s += float64(v)
			q += float64(v) * float64(v)
			sum[(y+1)*w+x+1] = sum[y*w+x+1] + s
			squares[(y+1)*w+x+1] = squares[y*w+x+1] + q
		}
	}
	out := newPlane(p.w, p.h)
	for y := range p.h {
		y0, y1 := max(0, y-r)*w, min(p.h, y+r+1)*w
		for x := range p.w {
			x0, x1 := max(0, x-r), min(p.w, x+r+1)
			n := float64((y1 - y0) / w * (x1 - x0))
			mean := (sum[y1+x1] - sum[y1+x0] - sum[y0+x1] + sum[y0+x0]) / n
			variance := (squares[y1+x1]-squares[y1+x0]-squares[y0+x1]+squares[y0+x0])/n - mean*mean
			out.v[y*p.w+x] = float32((float64(p.v[y*p.w+x]) - mean) / (math.Sqrt(max(0, variance)) + flat))
		}
	}
	return out
}
