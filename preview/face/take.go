package face

import (
	"image"
	"math"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// input is what a network wants of a picture: so many pixels along either edge, and
// each channel of 0..255 as mul times its value plus add.
type input struct {
	side     int
	mul, add float32
}

// outside says what lies round a picture.
type outside bool

const (
	black outside = false // nothing
	edge  outside = true  // its outermost pixels, on and on
)

// taker takes squares out of pictures. It keeps what it needs for that.
type taker struct{ part jpeg.Image }

// take fills dst with the square that to puts onto the picture, pixel by pixel red,
// green and blue. Where a pixel of dst stands for more than one of the picture, their
// mean counts, so that nothing turns up that is not there. The picture has to be
// valid.
func (t *taker) take(dst []float32, in input, m *jpeg.Image, to move, round outside) {
	s := sampler{sx: 1, sy: 1, w: float64(m.Width), h: float64(m.Height)}
	s.planes(m)
	if to.scale() > 1 {
		s.planes(t.smaller(m, in.side, to, &s))
	}
	dark := in.add
	for y := range in.side {
		row := dst[y*in.side*3:][:in.side*3]
		for x := range in.side {
			p := to.of(Point{float64(x) + 0.5, float64(y) + 0.5})
			px := row[x*3:][:3:3]
			if round == black && (p.X < 0 || p.Y < 0 || p.X >= s.w || p.Y >= s.h) {
				px[0], px[1], px[2] = dark, dark, dark
				continue
			}
			r, g, b := s.at(p)
			px[0], px[1], px[2] = r*in.mul+in.add, g*in.mul+in.add, b*in.mul+in.add
		}
	}
}

// smaller returns the part of m that is wanted, brought to the scale at which it is
// wanted, and notes in s where it lies.
func (t *taker) smaller(m *jpeg.Image, side int, to move, s *sampler) *jpeg.Image {
	r := covers(to, side, image.Rect(0, 0, m.Width, m.Height))
	// Begin with a whole chroma sample, or Cut would have to make new ones.
	r.Min.X, r.Min.Y = r.Min.X/m.SubX*m.SubX, r.Min.Y/m.SubY*m.SubY
	part := pix.Cut(m, r, 1)
	size := func(n int) int { return max(1, int(math.Round(float64(n)/to.scale()))) }
	w, h := size(r.Dx()), size(r.Dy())
	s.x, s.y = float64(r.Min.X), float64(r.Min.Y)
	s.sx, s.sy = float64(w)/float64(r.Dx()), float64(h)/float64(r.Dy())
	return pix.ResizeInto(&t.part, part, w, h)
}

// covers is the smallest part of a picture that holds every pixel which a square
// needs, with two to spare for the filter; never an empty one.
func covers(to move, side int, whole image.Rectangle) image.Rectangle {
	n := float64(side)
	lo, hi := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, c := range []Point{{0, 0}, {n, 0}, {0, n}, {n, n}} {
		p := to.of(c)
		lo.X, lo.Y = min(lo.X, p.X), min(lo.Y, p.Y)
		hi.X, hi.Y = max(hi.X, p.X), max(hi.Y, p.Y)
	}
	spare := 2 * max(1, to.scale())
	return image.Rect(
		clamp(lo.X-spare, 0, whole.Max.X-1), clamp(lo.Y-spare, 0, whole.Max.Y-1),
		clamp(math.Ceil(hi.X+spare), 1, whole.Max.X), clamp(math.Ceil(hi.Y+spare), 1, whole.Max.Y))
}

// clamp is v as a whole number of lo..hi; lo if it is no number.
func clamp(v float64, lo, hi int) int {
	switch {
	case v >= float64(hi):
		return hi
	case v > float64(lo):
		return int(v)
	}
	return lo
}

// sampler reads colours between the pixels of a picture, or of a smaller rendition of
// a part of it that begins at x, y.
type sampler struct {
	x, y, sx, sy float64 // from the picture to the planes
	w, h         float64 // of the picture
	luma, cb, cr plane
	grey         bool
}

func (s *sampler) planes(m *jpeg.Image) {
	s.grey = m.Grey()
	s.luma = plane{m.Y, m.Width, m.Height, m.YStride, 1, 1}
	if !s.grey {
		w, h := m.ChromaSize()
		sx, sy := 1/float64(m.SubX), 1/float64(m.SubY)
		s.cb, s.cr = plane{m.Cb, w, h, m.CStride, sx, sy}, plane{m.Cr, w, h, m.CStride, sx, sy}
	}
}

// at is the colour at a place, by the matrix of JFIF.
func (s *sampler) at(p Point) (r, g, b float32) {
	x, y := (p.X-s.x)*s.sx, (p.Y-s.y)*s.sy
	l := s.luma.at(x, y)
	if s.grey {
		return l, l, l
	}
	cb, cr := s.cb.at(x, y)-128, s.cr.at(x, y)-128
	return bound(l + 1.402*cr), bound(l - 0.344136*cb - 0.714136*cr), bound(l + 1.772*cb)
}

func bound(v float32) float32 { return min(max(v, 0), 255) }

// plane is samples that stand evenly over a picture: sx, sy for each of its pixels.
type plane struct {
	pix          []byte
	w, h, stride int
	sx, sy       float64
}

// at is the line between the four next samples, in pixels of the picture. Beyond the
// outermost ones it is theirs.
func (p *plane) at(x, y float64) float32 {
	x, y = x*p.sx-0.5, y*p.sy-0.5
	x, y = min(max(x, 0), float64(p.w-1)), min(max(y, 0), float64(p.h-1))
	i, j := int(x), int(y)
	fx, fy := float32(x-float64(i)), float32(y-float64(j))
	row, right, down := p.pix[j*p.stride+i:], 1, p.stride
	if i+1 >= p.w {
		right = 0
	}
	if j+1 >= p.h {
		down = 0
	}
	a, b := float32(row[0]), float32(row[right])
	c, d := float32(row[down]), float32(row[down+right])
	above, below := a+(b-a)*fx, c+(d-c)*fx
	return above + (below-above)*fy
}
