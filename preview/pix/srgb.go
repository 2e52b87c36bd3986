package pix

import (
	"math"

	"garner/preview/icc"
	"garner/preview/jpeg"
)

// This file brings pictures of other colour spaces to sRGB. All of it goes through
// tables: a pixel costs three look-ups for its light, whose sums are the light of
// the three sRGB primaries, and three for the code values of those.

// ToSRGB converts m, which is a picture of the space that p describes, to sRGB in
// place. Colours that sRGB does not have are clipped channel by channel; grey stays
// without colour. Chroma is converted with each of the luma samples it belongs to,
// and their mean kept.
func ToSRGB(m *jpeg.Image, p *icc.Profile) {
	if !m.Valid() {
		return
	}
	t := newSpace(p)
	if m.Grey() {
		for y := range m.Height {
			row := m.Y[y*m.YStride:][:m.Width]
			for x, v := range row {
				v := uint32(v) + offset
				row[x] = byte(t.convert(v, v, v) >> lumaShift)
			}
		}
		return
	}
	w, h := m.ChromaSize()
	whole := m.Width / m.SubX // chroma samples with all their columns of luma
	sums := make([]uint64, w)
	for cy := range h {
		cb, cr := m.Cb[cy*m.CStride:][:w], m.Cr[cy*m.CStride:][:w]
		top := m.Y[cy*m.SubY*m.YStride:]
		rows, done := min(m.SubY, m.Height-cy*m.SubY), 0
		switch { // what nearly all cameras write
		case m.SubX == 2 && rows == 2:
			t.squares(top[:2*whole], top[m.YStride:][:2*whole], cb, cr)
			done = whole
		case m.SubX == 2 && m.SubY == 1:
			t.pairs(top[:2*whole], cb, cr)
			done = whole
		case m.SubX == 1 && m.SubY == 1:
			t.singles(top[:w], cb, cr)
			done = w
		}
		clear(sums)
		for k := range rows {
			t.row(top[k*m.YStride:][:m.Width], done, cb, cr, m.SubX, sums)
		}
		for i := done; i < w; i++ {
			n := uint64(rows * min(m.SubX, m.Width-i*m.SubX))
			cb[i], cr[i] = chroma(sums[i]>>chromaLane/n, sums[i]&(1<<chromaLane-1)/n)
		}
	}
}

const (
	// offset keeps the indices of light positive: red, green and blue out of luma and
	// chroma lie between -179 and 434 (JFIF 1.02).
	offset  = 256
	entries = 1024 // a power of two above offset + 434

	// Light is counted in fixed point, three sums in the lanes of one word. What is
	// below zero is kept above it by a bias.
	lane      = 21
	laneMask  = 1<<lane - 1
	unit      = 1 << 15
	unitShift = 2 // bits that the table of code values leaves out

	// What a code value adds to luma and chroma, in the lanes of another word: Cr
	// lowest, then Cb, both with room for the sum of sixteen, luma on top, where what
	// is too much falls off.
	chromaLane, chromaUnit = 21, 1 << 9
	lumaLane, lumaShift    = 42, 56
)

// space are the tables for one profile.
type space struct {
	light              [3][entries]uint64 // of red, green and blue as they come out of YCbCr: the shares in the three sRGB primaries
	code               [1 << 16]byte      // sRGB code value of a sum
	weight             [3][256]uint64     // what that adds to luma and chroma
	crR, cbB, cbG, crG [256]uint32        // what chroma adds to luma; for green 16.16 bits
}

func newSpace(p *icc.Profile) *space {
	t := &space{}
	m := p.ToSRGB()
	// The bias is what the negative factors can take away.
	bias := 0.0
	for _, row := range m {
		bias = max(bias, -min(row[0], 0)-min(row[1], 0)-min(row[2], 0))
	}
	zero := int(bias*unit) + 4
	for c := range t.light {
		for i := range t.light[c] {
			lin := p.Curves[c][min(max(i-offset, 0), 255)]
			word := uint64(0)
			for k := range m {
				share := int(math.Round(m[k][c] * lin * unit))
				if c == 0 {
					share += zero
				}
				word += uint64(share) << (lane * k) // what one lane borrows is paid back by the sum
			}
			t.light[c][i] = word
		}
	}
	t.codes(zero)
	t.jfif()
	return t
}

// codes fills the table of code values; zero is the sum that stands for no light.
func (t *space) codes(zero int) {
	thresholds := icc.SRGBThresholds()
	at := 0
	for v := range 256 {
		to := len(t.code)
		if v < 255 {
			to = min(to, (zero+int(math.Round(thresholds[v+1]*unit)))>>unitShift)
		}
		for ; at < to; at++ {
			t.code[at] = byte(v)
		}
	}
}

// jfif fills the tables of the two YCbCr transforms (JFIF 1.02, p. 4).
func (t *space) jfif() {
	for i := range 256 {
		v := float64(i - 128)
		t.crR[i], t.cbB[i] = uint32(int(math.Round(1.402*v))+offset), uint32(int(math.Round(1.772*v))+offset)
		t.cbG[i] = uint32(int(math.Round(-0.344136286*v*65536)) + offset<<15)
		t.crG[i] = uint32(int(math.Round(-0.714136286*v*65536)) + offset<<15 + 1<<15)
	}
	for c, f := range [3][3]float64{{0.299, -0.168735892, 0.5}, {0.587, -0.331264108, -0.418687589}, {0.114, 0.5, -0.081312411}} {
		for i := range 256 {
			y, cb, cr := f[0]*float64(i), f[1]*float64(i), f[2]*float64(i)
			if c == 0 {
				y, cb, cr = y+0.5, cb+128.5, cr+128.5
			}
			whole := func(v, unit float64) uint64 { return uint64(int64(math.Round(v * unit))) }
			t.weight[c][i] = whole(y, 1<<(lumaShift-lumaLane))<<lumaLane + whole(cb, chromaUnit)<<chromaLane + whole(cr, chromaUnit)
		}
	}
}

// add is what red, green and blue have above luma, with the offset.
func (t *space) add(cb, cr byte) (r, g, b uint32) {
	return t.crR[cr], (t.cbG[cb] + t.crG[cr]) >> 16, t.cbB[cb]
}

// convert takes red, green and blue, with the offset, to the YCbCr of sRGB in
// lanes.
func (t *space) convert(r, g, b uint32) uint64 {
	const mask = laneMask >> unitShift
	v := t.light[0][r&(entries-1)] + t.light[1][g&(entries-1)] + t.light[2][b&(entries-1)]
	return t.weight[0][t.code[uint16(v>>unitShift&mask)]] +
		t.weight[1][t.code[uint16(v>>(lane+unitShift)&mask)]] +
		t.weight[2][t.code[uint16(v>>(2*lane+unitShift))]]
}

// row converts a row of luma from the chroma sample number from on, and adds up
// the chroma of those that share it.
func (t *space) row(y []byte, from int, cb, cr []byte, sub int, sums []uint64) {
	for i := from; i < len(cb); i++ {
		r, g, b := t.add(cb[i], cr[i])
		for k := i * sub; k < min(i*sub+sub, len(y)); k++ {
			v := t.convert(uint32(y[k])+r, uint32(y[k])+g, uint32(y[k])+b)
			y[k] = byte(v >> lumaShift)
			sums[i] += v & (1<<lumaLane - 1)
		}
	}
}

// pairs converts a row of luma with two samples to one of chroma.
func (t *space) pairs(y, cb, cr []byte) {
	n := len(y) / 2
	cb, cr = cb[:n], cr[:n]
	for i := range cb {
		r, g, b := t.add(cb[i], cr[i])
		k := 2 * i
		if k+1 >= len(y) {
			return
		}
		y0, y1 := uint32(y[k]), uint32(y[k+1])
		v0 := t.convert(y0+r, y0+g, y0+b)
		y[k] = byte(v0 >> lumaShift)
		v1 := t.convert(y1+r, y1+g, y1+b)
		y[k+1] = byte(v1 >> lumaShift)
		sum := v0 + v1
		cb[i], cr[i] = chroma(sum>>(chromaLane+1)&(1<<(chromaLane-1)-1), sum>>1&(1<<(chromaLane-1)-1))
	}
}

// singles converts a row of luma with a sample of chroma for each.
func (t *space) singles(y, cb, cr []byte) {
	cb, cr = cb[:len(y)], cr[:len(y)]
	for i, v := range y {
		r, g, b := t.add(cb[i], cr[i])
		l := uint32(v)
		sum := t.convert(l+r, l+g, l+b)
		y[i] = byte(sum >> lumaShift)
		cb[i], cr[i] = chroma(sum>>chromaLane&(1<<chromaLane-1), sum&(1<<chromaLane-1))
	}
}

// squares converts two rows of luma with two by two samples to one of chroma.
func (t *space) squares(top, low, cb, cr []byte) {
	n := len(top) / 2
	cb, cr = cb[:n], cr[:n]
	low = low[:len(top)]
	for i := range cb {
		r, g, b := t.add(cb[i], cr[i])
		k := 2 * i
		if k+1 >= len(top) || k+1 >= len(low) {
			return
		}
		y0, y1, y2, y3 := uint32(top[k]), uint32(top[k+1]), uint32(low[k]), uint32(low[k+1])
		v0 := t.convert(y0+r, y0+g, y0+b)
		top[k] = byte(v0 >> lumaShift)
		v1 := t.convert(y1+r, y1+g, y1+b)
		top[k+1] = byte(v1 >> lumaShift)
		v2 := t.convert(y2+r, y2+g, y2+b)
		low[k] = byte(v2 >> lumaShift)
		v3 := t.convert(y3+r, y3+g, y3+b)
		low[k+1] = byte(v3 >> lumaShift)
		sum := v0 + v1 + v2 + v3
		cb[i], cr[i] = chroma(sum>>(chromaLane+2)&(1<<(chromaLane-2)-1), sum>>2&(1<<(chromaLane-2)-1))
	}
}

// chroma takes the two means out of their fixed point. Pure blue and red reach 256.
func chroma(cb, cr uint64) (byte, byte) {
	return byte(min(cb/chromaUnit, 255)), byte(min(cr/chromaUnit, 255))
}
