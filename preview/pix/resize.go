package pix

import (
	"encoding/binary"
	"math"

	"garner/preview/jpeg"
)

// This file brings a picture to the very size of a screen's area. It must be
// done within the time of a key press, so weights have eight bits only and
// several samples are added up in one word: a sample may be off by one or two.
// Where every bit counts, Fit is for.

// Resize returns m at exactly w by h pixels, in its own subsampling. Where it
// gets smaller it is averaged over the area, where it gets larger samples are
// interpolated between their neighbours. It returns nil for a picture that is
// not valid or a size that is not positive.
func Resize(m *jpeg.Image, w, h int) *jpeg.Image {
	return ResizeInto(&jpeg.Image{}, m, w, h)
}

// ResizeInto is Resize into an Image whose planes may be reused, which it
// returns. A picture that has the size already is returned itself.
func ResizeInto(dst, m *jpeg.Image, w, h int) *jpeg.Image {
	if !m.Valid() || w <= 0 || h <= 0 {
		return nil
	}
	if m.Width == w && m.Height == h {
		return m
	}
	dst.Reset(w, h, m.SubX, m.SubY, m.Grey())
	dst.Truncated, dst.Rows = m.Truncated, m.Rows*h/m.Height
	x, y := axis{m.Width, w, m.Width, w}, axis{m.Height, h, m.Height, h}
	resize(dst.Y, dst.YStride, m.Y, m.YStride, x, y)
	if !m.Grey() {
		x.size, y.size = m.ChromaSize()
		x.n, y.n = dst.ChromaSize()
		resize(dst.Cb, dst.CStride, m.Cb, m.CStride, x, y)
		resize(dst.Cr, dst.CStride, m.Cr, m.CStride, x, y)
	}
	return dst
}

// axis is one direction of a plane: size samples become n, at the scale from:to.
type axis struct{ size, n, from, to int }

// box is how many samples are added up before the rest is done with weights:
// eight bits are good for some sixteen samples.
func (a axis) box() int {
	if a.from <= 16*a.to {
		return 1
	}
	return min(a.from/(8*a.to), maxBox)
}

const maxBox = 256 // sums of a column are kept in 16 bits

// resize brings one plane to its size.
func resize(dst []byte, dstStride int, src []byte, srcStride int, x, y axis) {
	if kx, ky := x.box(), y.box(); kx > 1 || ky > 1 {
		w, h := (x.size+kx-1)/kx, (y.size+ky-1)/ky
		small := make([]byte, w*h)
		boxes(small, src, srcStride, x.size, y.size, kx, ky)
		src, srcStride = small, w
		x.size, x.to = w, x.to*kx
		y.size, y.to = h, y.to*ky
	}
	across, down := weigh(x), weigh(y)
	col := newColumns(x.size)
	for i := range y.n {
		row := col.mean(src[down.first[i]*srcStride:], srcStride, down.of(i))
		across.narrow(dst[i*dstStride:][:x.n], row)
	}
}

// taps say which samples make one of the result: n from first on, weighted so
// that the weights add up to 256 and a flat plane keeps its value.
type taps struct {
	n      int
	first  []int
	weight []uint16
}

func (t *taps) of(i int) []uint16 { return t.weight[i*t.n:][:t.n] }

func weigh(a axis) taps {
	scale := float64(a.from) / float64(a.to)
	t := taps{n: min(2, a.size), first: make([]int, a.n)}
	if scale > 1 {
		t.n = min(int(math.Ceil(scale))+1, a.size)
	}
	t.weight = make([]uint16, a.n*t.n)
	for i := range t.first {
		if scale >= 1 {
			t.area(i, float64(i)*scale, min(float64(i+1)*scale, float64(a.size)), a.size)
		} else {
			t.between(i, min(max((float64(i)+0.5)*scale-0.5, 0), float64(a.size-1)), a.size)
		}
	}
	return t
}

// area weighs what lies between two places.
func (t *taps) area(i int, lo, hi float64, size int) {
	lo = min(lo, hi-1e-3) // chroma may end before the picture does
	first := min(int(lo), size-t.n)
	t.first[i] = first
	out := t.of(i)
	sum, largest := 0, 0
	for k := range out {
		part := min(hi, float64(first+k+1)) - max(lo, float64(first+k))
		out[k] = uint16(max(part, 0) / (hi - lo) * 256)
		sum += int(out[k])
		if out[k] > out[largest] {
			largest = k
		}
	}
	out[largest] += uint16(256 - sum)
}

// between weighs the two samples whose middles are next to a place.
func (t *taps) between(i int, at float64, size int) {
	t.first[i] = min(int(at), size-t.n)
	out := t.of(i)
	part := uint16((at-float64(t.first[i]))*256 + 0.5)
	out[0] = 256 - part
	if t.n > 1 {
		out[1] = part
	}
}

// narrow makes a row of the result's width. The usual few samples are written
// out: this is where the time goes.
func (t *taps) narrow(dst, src []byte) {
	w := t.weight
	first := t.first[:len(dst)]
	switch t.n {
	case 2:
		for x, f := range first {
			s, v := src[f:f+2:f+2], w[2*x:2*x+2:2*x+2]
			dst[x] = uint8((uint32(s[0])*uint32(v[0]) + uint32(s[1])*uint32(v[1]) + 128) >> 8)
		}
	case 3:
		for x, f := range first {
			s, v := src[f:f+3:f+3], w[3*x:3*x+3:3*x+3]
			dst[x] = uint8((uint32(s[0])*uint32(v[0]) + uint32(s[1])*uint32(v[1]) + uint32(s[2])*uint32(v[2]) + 128) >> 8)
		}
	default:
		for x, f := range first {
			sum := uint32(128)
			v := t.of(x)
			s := src[f:][:len(v)]
			for k, w := range v {
				sum += uint32(s[k]) * uint32(w)
			}
			dst[x] = uint8(sum >> 8)
		}
	}
}

// lanes picks every second byte of a word: four sums of 16 bits.
const (
	lanes = 0x00ff00ff00ff00ff
	half  = 0x0080008000800080
)

// columns adds up rows, eight columns at a time.
type columns struct {
	w         int
	even, odd []uint64
	row       []byte
}

func newColumns(w int) *columns {
	n := w / 8
	return &columns{w: w, even: make([]uint64, n), odd: make([]uint64, n), row: make([]byte, w)}
}

// mean returns the weighted mean of the rows from src on; valid until the next
// call. A sum of samples is at most 255*256, so that it fits into its lane
// with half a sample for rounding.
func (c *columns) mean(src []byte, stride int, weights []uint16) []byte {
	switch {
	case weights[0] == 256:
		return src[:c.w]
	case len(weights) == 2:
		c.mean3(src, src[stride:], src[stride:], uint64(weights[0]), uint64(weights[1]), 0)
	case len(weights) == 3:
		c.mean3(src, src[stride:], src[2*stride:], uint64(weights[0]), uint64(weights[1]), uint64(weights[2]))
	default:
		for i := range c.even {
			c.even[i], c.odd[i] = half, half
		}
		for k, w := range weights {
			if w != 0 {
				c.add(src[k*stride:], uint64(w))
			}
		}
		for i, e := range c.even {
			binary.LittleEndian.PutUint64(c.row[8*i:], e>>8&lanes|c.odd[i]&^lanes)
		}
	}
	for x := len(c.even) * 8; x < c.w; x++ {
		sum := uint32(128)
		for k, w := range weights {
			if w != 0 {
				sum += uint32(src[k*stride+x]) * uint32(w)
			}
		}
		c.row[x] = uint8(sum >> 8)
	}
	return c.row
}

// mean3 is mean of three rows, which is the usual number, without the sums
// going through memory.
func (c *columns) mean3(a, b, d []byte, wa, wb, wd uint64) {
	n := 8 * len(c.even)
	out := c.row[:n]
	a, b, d = a[:n], b[:n], d[:n]
	for len(out) >= 8 && len(a) >= 8 && len(b) >= 8 && len(d) >= 8 {
		u, v, w := binary.LittleEndian.Uint64(a), binary.LittleEndian.Uint64(b), binary.LittleEndian.Uint64(d)
		even := half + u&lanes*wa + v&lanes*wb + w&lanes*wd
		odd := half + u>>8&lanes*wa + v>>8&lanes*wb + w>>8&lanes*wd
		binary.LittleEndian.PutUint64(out, even>>8&lanes|odd&^lanes)
		a, b, d, out = a[8:], b[8:], d[8:], out[8:]
	}
}

// add adds one row times weight; the columns after the last word are left out.
func (c *columns) add(row []byte, weight uint64) {
	odd := c.odd[:len(c.even)]
	row = row[:8*len(c.even)]
	for i := range c.even {
		if len(row) < 8 {
			break
		}
		v := binary.LittleEndian.Uint64(row)
		row = row[8:]
		c.even[i] += v & lanes * weight
		odd[i] += v >> 8 & lanes * weight
	}
}

// boxes writes the means of boxes of kx by ky samples; at the right and lower
// edge of what there is.
func boxes(dst, src []byte, stride, w, h, kx, ky int) {
	c := newColumns(w)
	sums := make([]uint16, w)
	cols := (w + kx - 1) / kx
	for y := 0; y < h; y += ky {
		rows := min(ky, h-y)
		c.sum(sums, src[y*stride:], stride, rows)
		out := dst[y/ky*cols:][:cols]
		for x := range out {
			box := sums[x*kx : min((x+1)*kx, w)]
			n, s := uint32(len(box)*rows), uint32(0)
			for _, v := range box {
				s += uint32(v)
			}
			out[x] = uint8((s + n/2) / n)
		}
	}
}

// sum adds up columns of at most maxBox rows.
func (c *columns) sum(sums []uint16, src []byte, stride, rows int) {
	clear(c.even)
	clear(c.odd)
	for k := range rows {
		c.add(src[k*stride:], 1)
	}
	for i, e := range c.even {
		o, s := c.odd[i], sums[8*i:][:8]
		for k := range 4 {
			s[2*k], s[2*k+1] = uint16(e>>(16*k)), uint16(o>>(16*k))
		}
	}
	for x := len(c.even) * 8; x < c.w; x++ {
		s := 0
		for k := range rows {
			s += int(src[k*stride+x])
		}
		sums[x] = uint16(s)
	}
}
