package term

import (
	"encoding/binary"
	"math"
	"sync"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// rgba returns the canvas of a layout, four bytes a pixel: the picture scaled to
// its rectangle, and clear pixels round it. It is valid until the next call.
func (e *easel) rgba(m *jpeg.Image, at layout, l Look) []byte {
	m = pix.ResizeInto(&e.scaled, m, at.pw, at.ph)
	n := at.w * at.h * 4
	if cap(e.pixels) < n {
		e.pixels = make([]byte, n)
	}
	out := e.pixels[:n]
	if !at.fullCanvas() {
		clear(out)
	}
	t := newTables(l)
	if bands := min(e.cores, at.ph/minBand); bands > 1 {
		var all sync.WaitGroup
		for i := range bands {
			all.Go(func() { t.rows(out, m, at, i*at.ph/bands, (i+1)*at.ph/bands) })
		}
		all.Wait()
	} else {
		t.rows(out, m, at, 0, at.ph)
	}
	if l.Dim {
		strike(out, at)
	}
	return out
}

// minBand is how many rows are worth a goroutine.
const minBand = 64

// rows converts rows of the picture onto the canvas.
func (t *tables) rows(out []byte, m *jpeg.Image, at layout, from, to int) {
	for row := from; row < to; row++ {
		dst := out[((at.y+row)*at.w+at.x)*4:][:at.pw*4]
		luma := m.Y[row*m.YStride:][:at.pw]
		if m.Grey() {
			t.grey(dst, luma)
			continue
		}
		c := row / m.SubY * m.CStride
		w := (at.pw + m.SubX - 1) / m.SubX
		t.colour(dst, luma, m.Cb[c:][:w], m.Cr[c:][:w], m.SubX)
	}
}

// tables hold what each sample of a plane gives to the three channels: JFIF's
// YCbCr (BT.601, full range) to RGB. The channels lie side by side in one number
// and are added at once, red lowest, each in a lane of 21 bits: ten of fraction,
// eight of value, and two above them that say so if the value is too large or
// too small.
type tables struct {
	y      [256]uint64 // with half a step for rounding, and the bias
	cb, cr [256]uint64
}

const (
	lane     = 21
	fraction = 10
	lanes    = 1 | 1<<lane | 1<<(2*lane)
	bias     = 0x100 * lanes // above every negative sum
	outside  = 0x300 * lanes
)

func newTables(l Look) *tables {
	t := &tables{}
	scale := float64(1 << fraction)
	if l.Dim {
		scale *= 0.5
	}
	add := func(r, g, b float64) uint64 {
		return uint64(int64(math.Round(r*scale)) + int64(math.Round(g*scale))<<lane + int64(math.Round(b*scale))<<(2*lane))
	}
	for i := range 256 {
		v, c := float64(i), float64(i-128)
		t.y[i] = add(v, v, v) + bias<<fraction + lanes<<(fraction-1)
		t.cb[i] = add(0, -0.344136*c, 1.772*c)
		t.cr[i] = add(1.402*c, -0.714136*c, 0)
	}
	return t
}

func (t *tables) grey(dst, luma []byte) {
	for x, v := range luma {
		binary.LittleEndian.PutUint32(dst[4*x:], uint32(pixel(t.y[v])))
	}
}

func (t *tables) colour(dst, luma, cb, cr []byte, subX int) {
	if subX != 2 {
		for x, v := range luma {
			binary.LittleEndian.PutUint32(dst[4*x:], uint32(pixel(t.y[v]+t.cb[cb[x/subX]]+t.cr[cr[x/subX]])))
		}
		return
	}
	// The usual subsampling, two pixels a step.
	n := len(luma) / 2
	cr = cr[:len(cb)]
	for k, u := range cb[:n] {
		c := t.cb[u] + t.cr[cr[k]]
		l := luma[2*k : 2*k+2 : 2*k+2]
		binary.LittleEndian.PutUint64(dst[8*k:], pixel(t.y[l[0]]+c)|pixel(t.y[l[1]]+c)<<32)
	}
	if len(luma)%2 == 1 {
		binary.LittleEndian.PutUint32(dst[8*n:], uint32(pixel(t.y[luma[2*n]]+t.cb[cb[n]]+t.cr[cr[n]])))
	}
}

// pixel puts a pixel together in the order of its bytes.
func pixel(sum uint64) uint64 {
	sum >>= fraction
	if sum&outside != bias { // rare
		sum = clamp(sum) | clamp(sum>>lane)<<lane | clamp(sum>>(2*lane))<<(2*lane)
	}
	return sum&0xff | sum>>(lane-8)&0xff00 | sum>>(2*lane-16)&0xff0000 | 0xff<<24
}

// clamp brings the lowest lane, biased, to a byte.
func clamp(v uint64) uint64 { return min(max(v&0x3ff, 0x100), 0x1ff) - 0x100 }

// strike draws a line from the lower left to the upper right corner of the
// picture: light, between dark edges, so that it stands out on anything.
func strike(out []byte, at layout) {
	thick := max(min(at.pw, at.ph)/150, 1) // half of the line
	edge := 0
	if thick > 1 {
		edge = thick
	}
	for row := range at.ph {
		// The line's stretch on this row.
		from := (at.ph - 1 - row) * at.pw / at.ph
		to := (at.ph - row) * at.pw / at.ph
		line := out[((at.y+row)*at.w+at.x)*4:]
		for x := max(from-thick-edge, 0); x < min(to+thick+edge, at.pw); x++ {
			v := byte(200)
			if x < from-thick || x >= to+thick {
				v = 0
			}
			line[4*x], line[4*x+1], line[4*x+2] = v, v, v
		}
	}
}
