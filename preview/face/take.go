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
type taker struct {
	part jpeg.Image
	rows [3][]float32
}

// take fills dst with the square that to puts onto the picture, pixel by pixel red,
// green and blue. Where a pixel of dst stands for more than one of the picture, their
// mean counts, so that nothing turns up that is not there. The picture has to be
// valid and the numbers of to bounded.
func (t *taker) take(dst []float32, in input, m *jpeg.Image, to move, round outside) {
	planes, grid := m, grid{sx: 1, sy: 1}
	if to.scale() > 1 {
		planes = t.smaller(m, in.side, to, &grid)
	}
	for i := range t.rows {
		t.rows[i] = grow(t.rows[i], in.side)
	}
	luma := grid.plane(planes.Y, planes.Width, planes.Height, planes.YStride, 1, 1)
	var cb, cr plane
	if w, h := planes.ChromaSize(); !planes.Grey() {
		cb = grid.plane(planes.Cb, w, h, planes.CStride, planes.SubX, planes.SubY)
		cr = grid.plane(planes.Cr, w, h, planes.CStride, planes.SubX, planes.SubY)
	}
	for y := range in.side {
		row := dst[y*in.side*3:][:in.side*3]
		luma.row(t.rows[0], to, y)
		if planes.Grey() {
			in.grey(row, t.rows[0])
		} else {
			cb.row(t.rows[1], to, y)
			cr.row(t.rows[2], to, y)
			in.colours(row, t.rows[0], t.rows[1], t.rows[2])
		}
		if round == black {
			in.blacken(row, to, y, float64(m.Width), float64(m.Height))
		}
	}
}

func grow(s []float32, n int) []float32 {
	if cap(s) < n {
		return make([]float32, n)
	}
	return s[:n]
}

// colours writes a row of a picture by the matrix of JFIF.
func (in input) colours(dst, luma, cb, cr []float32) {
	for x, l := range luma {
		b, r := cb[x]-128, cr[x]-128
		px := dst[x*3:][:3:3]
		px[0] = bound(l+1.402*r)*in.mul + in.add
		px[1] = bound(l-0.344136*b-0.714136*r)*in.mul + in.add
		px[2] = bound(l+1.772*b)*in.mul + in.add
	}
}

func (in input) grey(dst, luma []float32) {
	for x, l := range luma {
		v := l*in.mul + in.add
		dst[x*3], dst[x*3+1], dst[x*3+2] = v, v, v
	}
}

// blacken makes black what of a row lies outside a w by h picture.
func (in input) blacken(dst []float32, to move, y int, w, h float64) {
	for x := range in.side {
		if p := to.of(Point{float64(x) + 0.5, float64(y) + 0.5}); p.X < 0 || p.Y < 0 || p.X >= w || p.Y >= h {
			dst[x*3], dst[x*3+1], dst[x*3+2] = in.add, in.add, in.add
		}
	}
}

func bound(v float32) float32 {
	if v < 0 {
		return 0
	}
	if v > 255 {
		return 255
	}
	return v
}

// smaller returns the part of m that is wanted, brought to the scale at which it is
// wanted, and notes in g where it lies.
func (t *taker) smaller(m *jpeg.Image, side int, to move, g *grid) *jpeg.Image {
	r := covers(to, side, image.Rect(0, 0, m.Width, m.Height))
	// Begin with a whole chroma sample, or Cut would have to make new ones.
	r.Min.X, r.Min.Y = r.Min.X/m.SubX*m.SubX, r.Min.Y/m.SubY*m.SubY
	part := pix.Cut(m, r, 1)
	size := func(n int) int { return max(1, int(math.Round(float64(n)/to.scale()))) }
	w, h := size(r.Dx()), size(r.Dy())
	g.x, g.y = float64(r.Min.X), float64(r.Min.Y)
	g.sx, g.sy = float64(w)/float64(r.Dx()), float64(h)/float64(r.Dy())
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

// grid is where a smaller rendition of a part lies in a picture: it begins at x, y and
// has sx, sy pixels for one of the picture.
type grid struct{ x, y, sx, sy float64 }

// plane is samples that stand evenly over a picture: sx, sy for each of its pixels, the
// first of them in the middle of what begins at x, y.
type plane struct {
	pix          []byte
	w, h, stride int
	x, y, sx, sy float64
}

func (g grid) plane(pix []byte, w, h, stride, subX, subY int) plane {
	return plane{pix, w, h, stride, g.x, g.y, g.sx / float64(subX), g.sy / float64(subY)}
}

// row samples along row y of what to takes out of the picture: the line between the
// four next samples, and beyond the outermost ones what they are.
func (p *plane) row(dst []float32, to move, y int) {
	start := to.of(Point{0.5, float64(y) + 0.5})
	u, v := float32((start.X-p.x)*p.sx-0.5), float32((start.Y-p.y)*p.sy-0.5)
	du, dv := float32(to.A*p.sx), float32(to.B*p.sy)
	right, down := min(1, p.w-1), min(1, p.h-1)*p.stride
	lastX, lastY := max(0, p.w-2), max(0, p.h-2)
	endX, endY := float32(p.w-1), float32(p.h-1)
	for x := range dst {
		px, py := u+du*float32(x), v+dv*float32(x)
		if px < 0 {
			px = 0
		} else if px > endX {
			px = endX
		}
		if py < 0 {
			py = 0
		} else if py > endY {
			py = endY
		}
		i, j := min(int(px), lastX), min(int(py), lastY)
		fx, fy := px-float32(i), py-float32(j)
		four := p.pix[j*p.stride+i:]
		a, b := float32(four[0]), float32(four[right])
		c, d := float32(four[down]), float32(four[down+right])
		above, below := a+(b-a)*fx, c+(d-c)*fx
		dst[x] = above + (below-above)*fy
	}
}
