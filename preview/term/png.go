package term

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
)

// packer writes pictures as PNG (W3C PNG, third edition) for terminals that
// must get them through the line. Every row has the Paeth filter, and what it
// leaves is coded by frequency alone: 25 ms for 1600x1000 pixels and a third of
// their bytes. Looking for the best filter and for repetitions takes four times
// as long and saves little of a photograph.
type packer struct {
	out  bytes.Buffer
	z    *zlib.Writer
	rows [3][]byte // two of the picture, and one as it is coded
}

// pack writes w by h pixels of four bytes; without alpha the fourth is left
// out. The result is valid until the next call.
func (p *packer) pack(pix []byte, w, h int, alpha bool) []byte {
	depth, colour := 3, byte(2)
	if alpha {
		depth, colour = 4, 6
	}
	p.out.Reset()
	p.out.WriteString("\x89PNG\r\n\x1a\n")
	var head [13]byte
	binary.BigEndian.PutUint32(head[:], uint32(w))
	binary.BigEndian.PutUint32(head[4:], uint32(h))
	head[8], head[9] = 8, colour
	at := p.begin("IHDR")
	p.out.Write(head[:])
	p.end(at)
	at = p.begin("IDAT")
	p.image(pix, w, h, depth)
	p.end(at)
	p.end(p.begin("IEND"))
	return p.out.Bytes()
}

func (p *packer) image(pix []byte, w, h, depth int) {
	if p.z == nil {
		p.z, _ = zlib.NewWriterLevel(&p.out, zlib.HuffmanOnly) // the level is valid
	} else {
		p.z.Reset(&p.out)
	}
	n := w * depth
	for i := range p.rows {
		p.rows[i] = append(p.rows[i][:0], make([]byte, n+1)...)
	}
	above, row, coded := p.rows[0][:n], p.rows[1][:n], p.rows[2]
	coded[0] = 4 // Paeth
	for y := range h {
		src := pix[y*w*4:][:w*4]
		if depth == 4 {
			copy(row, src)
		} else {
			for x := range w {
				s, d := src[4*x:4*x+3:4*x+3], row[3*x:3*x+3:3*x+3]
				d[0], d[1], d[2] = s[0], s[1], s[2]
			}
		}
		paeth(coded[1:], row, above, depth)
		_, _ = p.z.Write(coded) // into memory
		above, row = row, above
	}
	_ = p.z.Close()
}

// paeth filters a row: of left, above and upper left the one next to left +
// above - upper left is subtracted (PNG 9.4).
func paeth(dst, row, above []byte, depth int) {
	for i := range depth {
		dst[i] = row[i] - above[i]
	}
	n := len(row)
	x, a, b, c := row[depth:], row[:n-depth], above[depth:n], above[:n-depth]
	dst = dst[depth:n]
	for i, v := range x {
		left, up, corner := int32(a[i]), int32(b[i]), int32(c[i])
		da, db := up-corner, left-corner
		dc := da + db
		da, db, dc = max(da, -da), max(db, -db), max(dc, -dc)
		near := left
		if db < da {
			near, da = up, db
		}
		if dc < da {
			near = corner
		}
		dst[i] = v - byte(near)
	}
}

// begin starts a chunk and returns where.
func (p *packer) begin(kind string) int {
	at := p.out.Len()
	p.out.WriteString("\x00\x00\x00\x00")
	p.out.WriteString(kind)
	return at
}

// end fills in the chunk's length and adds its checksum.
func (p *packer) end(at int) {
	chunk := p.out.Bytes()[at:]
	binary.BigEndian.PutUint32(chunk, uint32(len(chunk)-8))
	var sum [4]byte
	binary.BigEndian.PutUint32(sum[:], crc32.ChecksumIEEE(chunk[4:]))
	p.out.Write(sum[:])
}
