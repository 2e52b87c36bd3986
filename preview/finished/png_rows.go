package finished

import (
	"compress/zlib"
	"context"
	"encoding/binary"
	"errors"
	"hash"
	"hash/crc32"
	"io"
)

// This file decodes the samples of a PNG: §7 (order of bits), §9 (filters), §10
// (deflate), §13.

// perPixel is how many samples a pixel has.
func (g *pngBody) perPixel() int {
	switch g.kind {
	case pngColour:
		return 3
	case pngAlpha:
		return 2
	case pngColour | pngAlpha:
		return 4
	}
	return 1
}

// rowBytes is a row of w pixels without its filter's number.
func (g *pngBody) rowBytes(w int) int64 {
	return (int64(w)*int64(g.perPixel()*g.depth) + 7) / 8
}

// cell is how many bytes a pixel takes where it is kept by itself.
func (g *pngBody) cell() int { return max(1, g.perPixel()*g.depth/8) }

func (g *pngBody) memory(p *Picture) int64 {
	n := int64(256<<10) + 2*g.rowBytes(p.Width) + int64(p.Width)*int64(g.cell())
	if g.interlaced {
		n += p.pixels() * int64(g.cell())
	}
	return n
}

func (g *pngBody) rows(ctx context.Context, p *Picture, emit func(int, []uint16) error) error {
	in := &idatReader{p: p, next: g.data, sum: crc32.NewIEEE()}
	z, err := zlib.NewReader(in)
	if err != nil {
		return g.fault(p, 0, err)
	}
	f := &pngFilter{in: z, chunks: in, cell: max(1, g.perPixel()*g.depth/8)}
	if g.interlaced {
		return g.woven(ctx, p, f, emit)
	}
	f.size(int(g.rowBytes(p.Width)))
	row, cells := make([]uint16, p.Width*p.Channels()), make([]byte, p.Width*g.cell())
	for y := range p.Height {
		line, err := f.row()
		if err == nil && y == p.Height-1 {
			err = f.end()
		}
		if err == nil {
			err = g.convert(row, g.unpack(cells, line))
		}
		if err != nil {
			return g.fault(p, y, err)
		}
		if err := emit(y, row); err != nil {
			return err
		}
	}
	return nil
}

// The passes of an interlaced picture, §8.2: first column and row, and the steps.
var pngPasses = [7][4]int{{0, 0, 8, 8}, {4, 0, 8, 8}, {0, 4, 4, 8}, {2, 0, 4, 4}, {0, 2, 2, 4}, {1, 0, 2, 2}, {0, 1, 1, 2}}

// woven decodes an interlaced picture, which is only whole at its end.
func (g *pngBody) woven(ctx context.Context, p *Picture, f *pngFilter, emit func(int, []uint16) error) error {
	cell := g.cell()
	all := make([]byte, p.pixels()*int64(cell))
	cells := make([]byte, p.Width*cell)
	for _, s := range pngPasses {
		w, h := (p.Width-s[0]+s[2]-1)/s[2], (p.Height-s[1]+s[3]-1)/s[3]
		if w <= 0 || h <= 0 {
			continue
		}
		f.size(int(g.rowBytes(w)))
		for y := range h {
			if err := ctx.Err(); err != nil {
				return err
			}
			line, err := f.row()
			if err != nil {
				return g.fault(p, 0, err)
			}
			px := g.unpack(cells[:w*cell], line)
			to := all[((s[1]+y*s[3])*p.Width+s[0])*cell:]
			for x := range w {
				copy(to[x*s[2]*cell:][:cell], px[x*cell:])
			}
		}
	}
	if err := f.end(); err != nil {
		return g.fault(p, 0, err)
	}
	row := make([]uint16, p.Width*p.Channels())
	for y := range p.Height {
		if err := g.convert(row, all[y*p.Width*cell:][:p.Width*cell]); err != nil {
			return err
		}
		if err := emit(y, row); err != nil {
			return err
		}
	}
	return nil
}

func (g *pngBody) fault(p *Picture, y int, err error) error {
	switch {
	case ended(err):
		return &TruncatedError{y, p.Height}
	case isInflate(err):
		return FormatError("a broken PNG: its compressed data cannot be unpacked")
	}
	return err
}

// unpack gives pixels of less than a byte one each; others stay as they are.
func (g *pngBody) unpack(cells, line []byte) []byte {
	if g.depth >= 8 {
		return line
	}
	per, mask := 8/g.depth, byte(1<<g.depth-1)
	for x := range cells {
		cells[x] = line[x/per] >> (8 - g.depth - x%per*g.depth) & mask
	}
	return cells
}

// convert brings pixels to 16 bits, on white where they are transparent.
func (g *pngBody) convert(row []uint16, px []byte) error {
	n, per := 1, g.perPixel()
	if g.kind&pngColour != 0 {
		n = 3
	}
	if g.kind&pngPalette != 0 {
		for x, v := range px {
			if int(v) >= g.colours {
				return FormatError("a broken PNG: a colour that is not in its palette")
			}
			c := &g.palette[v]
			copy(row[3*x:3*x+3], c[:3])
			onWhite(row[3*x:3*x+3], uint32(c[3]), 65535, false)
		}
		return nil
	}
	if per == n && !g.keyed && g.depth == 8 { // most of all
		row = row[:len(px)]
		for i, v := range px {
			row[i] = wide(v)
		}
		return nil
	}
	most := uint32(1)<<g.depth - 1
	var s [4]uint16
	for x, i := 0, 0; x < len(row); x += n {
		for c := range per {
			if g.depth == 16 {
				s[c] = binary.BigEndian.Uint16(px[i:])
				i += 2
			} else {
				s[c] = uint16(px[i])
				i++
			}
		}
		alpha := uint32(65535)
		switch {
		case per > n:
			alpha = uint32(s[n]) * 65535 / most
		case g.keyed && s[0] == g.key[0] && (n == 1 || s[1] == g.key[1] && s[2] == g.key[2]):
			alpha = 0
		}
		for c := range n {
			row[x+c] = uint16(uint32(s[c]) * 65535 / most)
		}
		onWhite(row[x:x+n], alpha, 65535, false)
	}
	return nil
}

// idatReader joins the data of the IDAT chunks, which follow one another, and holds
// them against their sums.
type idatReader struct {
	p    *Picture
	next int64 // the chunk that comes next
	at   int64
	left int64
	sum  hash.Hash32
	open bool
	buf  [64 << 10]byte
	rest []byte
}

// ReadByte is there so that no more is read than inflating needs, a byte at a time
// from the buffer.
func (d *idatReader) ReadByte() (byte, error) {
	if len(d.rest) == 0 {
		if err := d.fill(); err != nil {
			return 0, err
		}
	}
	b := d.rest[0]
	d.rest = d.rest[1:]
	return b, nil
}

func (d *idatReader) Read(b []byte) (int, error) {
	if len(d.rest) == 0 {
		if err := d.fill(); err != nil {
			return 0, err
		}
	}
	n := copy(b, d.rest)
	d.rest = d.rest[n:]
	return n, nil
}

// fill reads on.
func (d *idatReader) fill() error {
	for d.left == 0 {
		if err := d.begin(); err != nil {
			return err
		}
	}
	n := int(min(d.left, int64(len(d.buf))))
	got, err := d.p.r.ReadAt(d.buf[:n], d.at)
	if got < n {
		if err == nil {
			err = io.ErrUnexpectedEOF
		}
		return err
	}
	d.rest = d.buf[:n]
	d.sum.Write(d.rest)
	d.at, d.left = d.at+int64(n), d.left-int64(n)
	return nil
}

// begin closes a chunk and opens the next.
func (d *idatReader) begin() error {
	if d.open {
		var b [4]byte
		if n, err := d.p.r.ReadAt(b[:], d.at); n < len(b) {
			return err
		}
		if binary.BigEndian.Uint32(b[:]) != d.sum.Sum32() {
			return FormatError("a broken PNG: the checksum of IDAT is wrong")
		}
		d.open = false
	}
	c, err := d.p.pngChunk(d.next)
	if err != nil {
		return err
	}
	if c.name != "IDAT" {
		return io.ErrUnexpectedEOF
	}
	d.sum.Reset()
	d.sum.Write([]byte("IDAT"))
	d.at, d.left, d.next, d.open = c.at+8, c.length, c.next(), true
	return nil
}

// pngFilter takes back the filters, §9.2.
type pngFilter struct {
	in        io.Reader
	chunks    io.Reader // what in unpacks
	cell      int       // bytes from one pixel to the next
	line, old []byte
}

// size begins a picture of rows of n bytes.
func (f *pngFilter) size(n int) {
	f.line, f.old = make([]byte, 1+n), make([]byte, 1+n)
}

// row returns the next row, valid until the one after.
func (f *pngFilter) row() ([]byte, error) {
	f.line, f.old = f.old, f.line
	if err := full(f.in, f.line); err != nil {
		return nil, err
	}
	line, old, n := f.line[1:], f.old[1:], f.cell
	switch f.line[0] {
	case 0:
	case 1:
		for i := n; i < len(line); i++ {
			line[i] += line[i-n]
		}
	case 2:
		for i, v := range old {
			line[i] += v
		}
	case 3:
		for i := range min(n, len(line)) {
			line[i] += old[i] / 2
		}
		for i := n; i < len(line); i++ {
			line[i] += byte((int(line[i-n]) + int(old[i])) / 2)
		}
	case 4:
		paeth(line, old, n)
	default:
		return nil, FormatError("a broken PNG: a filter that is none")
	}
	return line, nil
}

// end holds the data against their sums. More data than the picture has are let
// pass, as other readers do.
func (f *pngFilter) end() error {
	var one [1]byte
	if n, err := f.in.Read(one[:]); n == 0 && err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	if _, err := io.Copy(io.Discard, f.chunks); err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return err
	}
	return nil
}

func paeth(line, old []byte, n int) {
	for i := range min(n, len(line)) {
		line[i] += old[i]
	}
	for i := n; i < len(line); i++ {
		a, b, c := int(line[i-n]), int(old[i]), int(old[i-n])
		pa, pb := b-c, a-c
		pc := abs(pa + pb)
		pa, pb = abs(pa), abs(pb)
		switch {
		case pa <= pb && pa <= pc:
			line[i] += byte(a)
		case pb <= pc:
			line[i] += byte(b)
		default:
			line[i] += byte(c)
		}
	}
}

func abs(v int) int { return max(v, -v) }
