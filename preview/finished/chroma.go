package finished

import "garner/preview/jpeg"

// This file turns planes of luma and chroma into rows of RGB in 16 bits, by the
// equations of JFIF 1.02 (BT.601, full range). Chroma that was halved is
// interpolated linearly between the centres of its samples, which JFIF puts in the
// middle of the luma samples they belong to; between these the weights are 3:1.

// chroma is the state of one conversion.
type chroma struct {
	// One row of chroma between its two neighbours, with a sample repeated before and
	// behind, and the same brought to the width of the picture.
	lineB, lineR []int32
	wideB, wideR []int32
	k            coefficients
}

// coefficients take luma of 8 bits and chroma to 16 bits, in 1<<13 parts: of luma; of
// Cr in red, Cb and Cr in green, Cb in blue; and what takes the middle of chroma off
// each and rounds. The sums stay within 32 bits.
type coefficients struct {
	y, r, gb, gr, b, r0, g0, b0 int32
}

const fraction = 13

func newChroma(m *jpeg.Image) *chroma {
	if m.Grey() {
		return &chroma{}
	}
	w, _ := m.ChromaSize()
	c := &chroma{lineB: make([]int32, w+2), lineR: make([]int32, w+2)}
	scale := 2 * m.SubY // what the chroma samples have been multiplied with by then
	if c.wideB, c.wideR = c.lineB[1:], c.lineR[1:]; m.SubX > 1 {
		scale *= 2 * m.SubX
		c.wideB, c.wideR = make([]int32, w*m.SubX), make([]int32, w*m.SubX)
	}
	of := func(v float64) int32 { return int32(v*257*(1<<fraction)/float64(scale) + 0.5) }
	k := coefficients{y: 257 << fraction, r: of(1.402), gb: of(0.344136286), gr: of(0.714136286), b: of(1.772)}
	middle, half := int32(128*scale), int32(1)<<(fraction-1)
	k.r0, k.g0, k.b0 = half-k.r*middle, half+(k.gb+k.gr)*middle, half-k.b*middle
	c.k = k
	return c
}

// row converts row y of m.
func (c *chroma) row(dst []uint16, m *jpeg.Image, y int) {
	luma := m.Y[y*m.YStride:][:m.Width]
	if m.Grey() {
		for i, v := range luma {
			dst[i] = wide(v)
		}
		return
	}
	w, h := m.ChromaSize()
	at, beside, near, far := between(y, m.SubY, h)
	line := func(wide, line []int32, plane []byte) {
		n := line[1 : 1+w]
		blend(n, plane[at*m.CStride:][:w], plane[beside*m.CStride:][:w], near, far)
		line[0], line[w+1] = n[0], n[w-1]
		switch m.SubX {
		case 1:
		case 2:
			double(wide, line)
		default:
			for x := range wide {
				at, beside, near, far := between(x, m.SubX, w)
				wide[x] = n[at]*near + n[beside]*far
			}
		}
	}
	line(c.wideB, c.lineB, m.Cb)
	line(c.wideR, c.lineR, m.Cr)
	colour(dst[:3*len(luma)], luma, c.wideB[:len(luma)], c.wideR[:len(luma)], &c.k)
}

// between says which two of n samples, of which each stands for sub positions,
// position i lies between, and how near it is to them; the weights add up to 2*sub.
func between(i, sub, n int) (at, beside int, near, far int32) {
	at = i / sub
	d := 2*(i%sub) + 1 - sub
	beside = at
	if d < 0 {
		beside, d = max(at-1, 0), -d
	} else if d > 0 {
		beside = min(at+1, n-1)
	}
	return at, beside, int32(2*sub - d), int32(d)
}

// blendGo adds two rows of chroma by their weights.
func blendGo(dst []int32, a, b []byte, near, far int32) {
	a, b = a[:len(dst)], b[:len(dst)]
	for i := range dst {
		dst[i] = int32(a[i])*near + int32(b[i])*far
	}
}

// doubleGo makes two samples of each between the first and the last of src, a
// quarter of the way to its neighbours, times four.
func doubleGo(dst, src []int32) {
	for i := 1; i < len(src)-1; i++ {
		v := 3 * src[i]
		dst[2*i-2], dst[2*i-1] = v+src[i-1], v+src[i+1]
	}
}

// colourGo makes pixels of luma and chroma.
func colourGo(dst []uint16, luma []byte, cb, cr []int32, k *coefficients) {
	cb, cr, dst = cb[:len(luma)], cr[:len(luma)], dst[:3*len(luma)]
	for x, v := range luma {
		y, b, r := int32(v)*k.y, cb[x], cr[x]
		p := dst[3*x : 3*x+3 : 3*x+3]
		p[0] = clamp((y + r*k.r + k.r0) >> fraction)
		p[1] = clamp((y - b*k.gb - r*k.gr + k.g0) >> fraction)
		p[2] = clamp((y + b*k.b + k.b0) >> fraction)
	}
}

func clamp(v int32) uint16 {
	if uint32(v) > 65535 {
		return uint16(^(v >> 31)) // 0 below, 65535 above
	}
	return uint16(v)
}
