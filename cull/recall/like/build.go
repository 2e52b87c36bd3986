package like

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"iter"

	"garner/cull"
	"garner/preview/pix"
)

// Row is a frame as Columns hold it.
type Row struct {
	Look   cull.Look // where it is not known, or was measured in another way, the row is never found
	Aspect float64   // the width of the upright picture for its height; 3:2 where it is not above 0
}

// Build writes the rows in their order, by which Find names them.
func Build(w io.Writer, rows iter.Seq[Row]) (n int, err error) {
	head := header()
	if _, err := w.Write(head); err != nil {
		return 0, err
	}
	var have shapes
	b := &block{}
	out := make([]byte, 0, blockRows*rowBytes+sumBytes)
	flush := func() error {
		if b.rows == 0 {
			return nil
		}
		_, err := w.Write(b.append(out))
		b.rows = 0
		return err
	}
	for row := range rows {
		if n == MostRows {
			return n, fmt.Errorf("an index of looks holds at most %d frames", MostRows)
		}
		have[b.add(row)]++
		n++
		if b.rows == blockRows {
			if err := flush(); err != nil {
				return n, err
			}
		}
	}
	if err := flush(); err != nil {
		return n, err
	}
	_, err = w.Write(have.footer(head))
	return n, err
}

// block is some rows, the words for the first comparison column by column.
type block struct {
	rows   int
	order  [blockRows]int32 // where each row of the file lies
	shapes [blockRows]shape
	low    [lowWords][blockRows]uint64
	rest   [blockRows][restWords]uint64 // in the order of the file
}

// restWords are the bits that are not in the words for the first comparison: of the
// windows, then of the whole picture.
const restWords = highWords + 1

// add puts a row behind the others and returns its shape.
func (b *block) add(r Row) shape {
	if !(r.Aspect > 0) {
		r.Aspect = 1.5
	}
	s := shapeOf(r.Aspect)
	if r.Look.Method != pix.LookMethod || r.Look.Parts[0] == pix.Flat {
		s = noLook
	}
	at := b.rows
	b.shapes[at] = s
	var f fields
	rest := &b.rest[at]
	*rest = [restWords]uint64{highWords: r.Look.Parts[0]}
	for i, hash := range r.Look.Parts[1:] {
		low, high := split(hash)
		f.put(i, low)
		// Four times 48 bits are three words.
		w := rest[i/4*3:]
		if k := i % 4; k < 3 {
			w[k] |= high << 16
		} else {
			w[0], w[1], w[2] = w[0]|high>>32, w[1]|high>>16&0xffff, w[2]|high&0xffff
		}
	}
	for i, v := range f {
		b.low[i][at] = v
	}
	b.rows++
	return s
}

// look is one row of the file, which lies at a place.
func (b *block) look(row, at int) pix.Looks {
	l := pix.Looks{Method: pix.LookMethod}
	var f fields
	for i := range f {
		f[i] = b.low[i][at]
	}
	rest := &b.rest[row]
	l.Parts[0] = rest[highWords]
	for i := range windows {
		w := rest[i/4*3:]
		high := w[0]&0xffff<<32 | w[1]&0xffff<<16 | w[2]&0xffff
		if k := i % 4; k < 3 {
			high = w[k] >> 16
		}
		l.Parts[1+i] = join(f.get(i), high)
	}
	return l
}

// append writes the block, whose rows are in their order.
func (b *block) append(out []byte) []byte {
	for _, s := range b.shapes[:b.rows] {
		out = append(out, byte(s))
	}
	for i := range b.low {
		for _, v := range b.low[i][:b.rows] {
			out = binary.LittleEndian.AppendUint64(out, v)
		}
	}
	for i := range b.rest[:b.rows] {
		for _, v := range b.rest[i] {
			out = binary.LittleEndian.AppendUint64(out, v)
		}
	}
	return binary.LittleEndian.AppendUint32(out, crc32.Checksum(out, castagnoli))
}

// parse takes what append made of so many rows. Rows are brought together by their
// shapes, since they are compared shape by shape.
func (b *block) parse(src []byte, rows int) error {
	body := src[:len(src)-sumBytes]
	if crc32.Checksum(body, castagnoli) != binary.LittleEndian.Uint32(src[len(body):]) {
		return FormatError("it is damaged")
	}
	b.rows = rows
	var next [257]int // where the next row of a shape goes
	for _, s := range body[:rows] {
		next[int(s)+1]++
	}
	for s := range 256 {
		next[s+1] += next[s]
	}
	for i, s := range body[:rows] {
		at := next[s]
		next[s]++
		b.order[i], b.shapes[at] = int32(at), shape(s)
	}
	body = body[rows:]
	for i := range b.low {
		column := b.low[i][:rows]
		for k, at := range b.order[:rows] {
			column[at] = binary.LittleEndian.Uint64(body[8*k:])
		}
		body = body[8*rows:]
	}
	for i := range b.rest[:rows] {
		for k := range b.rest[i] {
			b.rest[i][k] = binary.LittleEndian.Uint64(body[8*k:])
		}
		body = body[8*restWords:]
	}
	return nil
}
