package jpeg

import (
	"io"
	"slices"

	"garner/preview/jpeg/internal/dct"
)

// Encode writes m as a baseline JPEG in the frame of JFIF 1.02. The quality
// runs from 1 to 100 on the scale of the Independent JPEG Group; what lies
// beyond is taken as its nearer end.
//
// The planes are written as they are, in any of the subsamplings 1, 2 and 4
// but 4x4. Of 4x4 and of a factor of 3, which T.81 B.2.3 has no interleaved
// scan for or decoders do not know, the chroma is repeated to full size.
func Encode(w io.Writer, m *Image, quality int) error {
	b, err := AppendEncode(nil, m, quality)
	if err != nil {
		return err
	}
	_, err = w.Write(b)
	return err
}

// AppendEncode is Encode to the end of dst, which it returns. It allocates
// nothing else, and nothing at all where dst has room for about 48 KB more than
// is written.
func AppendEncode(dst []byte, m *Image, quality int) ([]byte, error) {
	if !m.Valid() || m.Width > 65535 || m.Height > 65535 {
		return dst, FormatError("a picture of no or too many pixels cannot be written")
	}
	if !m.Grey() && (m.SubX == 3 || m.SubY == 3 || m.SubX*m.SubY > 8) {
		m = planes(m.Std())
	}
	luma, chroma := annexK1.scaled(quality), annexK2.scaled(quality)
	e := encoder{n: 1, across: ceilDiv(m.Width, 8), down: ceilDiv(m.Height, 8)}
	y := &e.comps[0]
	*y = encodedPlane{pix: m.Y, stride: m.YStride, width: m.Width, height: m.Height, h: 1, v: 1, codes: lumaCodes()}
	y.quantiser.Set(&luma)
	if !m.Grey() {
		e.n, e.across, e.down = 3, ceilDiv(m.Width, 8*m.SubX), ceilDiv(m.Height, 8*m.SubY)
		y.h, y.v = m.SubX, m.SubY
		w, h := m.ChromaSize()
		for i, pix := range [...][]byte{m.Cb, m.Cr} {
			c := &e.comps[1+i]
			*c = encodedPlane{pix: pix, stride: m.CStride, width: w, height: h, h: 1, v: 1, codes: chromaCodes()}
			c.quantiser.Set(&chroma)
		}
	}
	if cap(dst)-len(dst) < headerBytes+chunkBytes {
		dst = slices.Grow(dst, headerBytes+chunkBytes+m.Width*m.Height/8)
	}
	dst = appendHeader(dst, m, &luma, &chroma)
	dst = e.scan(dst)
	return append(dst, 0xFF, markerEOI), nil
}

// encoder is one picture on its way into a scan. Grey pictures have blocks one
// by one, others in units of h by v blocks of luma and one of either chroma
// (T.81 A.2).
type encoder struct {
	comps        [3]encodedPlane
	n            int // of them
	across, down int // units

	coef    [chunkBlocks]dct.Block
	nonzero [chunkBlocks]uint64
	edge    [8 * 8 * chunkBlocks]byte // rows of samples that go beyond the plane
}

// encodedPlane is one component.
type encodedPlane struct {
	pix           []byte
	stride        int
	width, height int // samples
	h, v          int // blocks of one unit, across and down
	quantiser     dct.Quantiser
	codes         *encoderCodes
	last          int // DC coefficient of its last block
	first         int // the first of its blocks in coef
}

// chunkBlocks is how many blocks are transformed before they are coded: few
// enough to stay in the fastest cache. chunkBytes is the most that they come to
// in a scan, with every byte stuffed: 27 bits a coefficient. headerBytes is
// more than everything before the scan.
const (
	chunkBlocks = 96
	headerBytes = 1 << 10
	chunkBytes  = chunkBlocks * (64*27/8*2 + 16)
)

// scan appends the entropy-coded data of all units.
func (e *encoder) scan(dst []byte) []byte {
	perUnit := 0
	for i := range e.n {
		perUnit += e.comps[i].h * e.comps[i].v
	}
	most := chunkBlocks / perUnit
	sink := bitSink{free: 64}
	for y := range e.down {
		for x := 0; x < e.across; x += most {
			units := min(most, e.across-x)
			e.transform(x, y, units)
			dst = slices.Grow(dst, chunkBytes)
			sink.buf, sink.n = dst[:cap(dst)], len(dst)
			e.code(&sink, units)
			dst = dst[:sink.n]
		}
	}
	return sink.finish(dst)
}

// transform fills coef with the blocks of units side by side.
func (e *encoder) transform(x, y, units int) {
	at := 0
	for i := range e.n {
		c := &e.comps[i]
		c.first = at
		for row := range c.v {
			n := units * c.h
			e.blocks(c, at, n, 8*x*c.h, 8*(y*c.v+row))
			at += n
		}
	}
}

// blocks fills n blocks of coef with those of c that begin at column x and row
// y. What lies beyond the plane repeats its last column and row (A.2.4 leaves
// that to the encoder).
func (e *encoder) blocks(c *encodedPlane, at, n, x, y int) {
	inside := 0
	if y+8 <= c.height {
		inside = min(max(0, (c.width-x)/8), n)
		dct.ForwardRow(e.coef[at:at+inside], e.nonzero[at:at+inside], c.pix[min(y*c.stride+x, len(c.pix)):], c.stride, &c.quantiser)
	}
	if inside == n {
		return
	}
	at, n, x = at+inside, n-inside, x+8*inside
	for r := range 8 {
		src := c.pix[min(y+r, c.height-1)*c.stride:][:c.width]
		dst := e.edge[r*8*n:][:8*n]
		done := copy(dst, src[min(x, c.width):])
		for i := done; i < len(dst); i++ {
			dst[i] = src[c.width-1]
		}
	}
	dct.ForwardRow(e.coef[at:at+n], e.nonzero[at:at+n], e.edge[:], 8*n, &c.quantiser)
}

// code lays down the units of coef.
func (e *encoder) code(sink *bitSink, units int) {
	for u := range units {
		for i := range e.n {
			c := &e.comps[i]
			for row := range c.v {
				at := c.first + (row*units+u)*c.h
				for k := at; k < at+c.h; k++ {
					coef := &e.coef[k]
					dc := int(coef[0])
					sink.block(coef, e.nonzero[k], dc-c.last, c.codes)
					c.last = dc
				}
			}
		}
	}
}
