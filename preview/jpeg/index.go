package jpeg

import (
	"encoding/binary"
	"hash/crc64"
)

// Index says where in the data of one JPEG each row of units begins, so that a
// part of the picture can be decoded without what lies before it, and parts
// side by side. The zero value is empty; a decode fills it. It may be shared
// by decodes that run at the same time once it is full.
type Index struct {
	length int64  // of the JPEG
	digest uint64 // of its headers and of samples of its data
	down   int    // rows of units that the picture has
	rows   []place
}

// Full reports whether the index is made. One of a damaged picture holds the
// rows before the damage.
func (x *Index) Full() bool { return x != nil && x.length > 0 }

// Bytes is about what the index holds in memory.
func (x *Index) Bytes() int64 { return int64(len(x.rows))*24 + 64 }

// fits reports whether the index belongs to these data.
func (x *Index) fits(l *layout, src []byte) bool {
	return x.Full() && x.length == int64(len(src)) && x.down == l.down && x.digest == digest(l, src)
}

// digest is a checksum of the headers and of some of the data, enough to tell
// the pictures of one camera apart, which have the same headers.
func digest(l *layout, src []byte) uint64 {
	table := crc64.MakeTable(crc64.ECMA)
	sum := crc64.Update(0, table, src[:l.scan])
	const pieces, size = 64, 64
	data := src[l.scan:]
	if len(data) <= pieces*size {
		return crc64.Update(sum, table, data)
	}
	for i := range pieces {
		at := int(int64(len(data)-size) * int64(i) / (pieces - 1))
		sum = crc64.Update(sum, table, data[at:at+size])
	}
	return sum
}

// MakeIndex reads through a JPEG without making a picture of it. It returns
// an UnsupportedError for one that has no index, and the errors of Decode.
func MakeIndex(src []byte, stop <-chan struct{}) (*Index, error) {
	d, x := NewDecoder(), &Index{}
	o := Options{Scale: 8, Index: x, Stop: stop}
	if err := d.header.parse(src); err != nil {
		return nil, err
	}
	if err := d.header.admit(int64(len(src)), 0); err != nil {
		return nil, err
	}
	if !d.job.sequential(&d.header) {
		return nil, UnsupportedError("an index of a picture that is not sequential, in one scan")
	}
	if err := d.prepare(src, o); err != nil {
		return nil, err
	}
	d.job.discards, d.job.bottom = true, d.job.down
	if _, err := d.run(src, o); err != nil {
		return nil, err
	}
	return x, nil
}

// fill makes the index of src out of the places of the rows that are there.
func (x *Index) fill(l *layout, src []byte, rows []place) {
	*x = Index{length: int64(len(src)), digest: digest(l, src), down: l.down}
	x.rows = append(x.rows, rows...)
}

// The form of a marshalled index: a mark, then varints: length, digest (eight
// bytes), rows of the picture, rows that are there, and for each of them how
// many bits it begins after the one before and its three predictors.
const indexMark = "garner jpeg index 1\n"

// MarshalBinary implements encoding.BinaryMarshaler.
func (x *Index) MarshalBinary() ([]byte, error) {
	if !x.Full() {
		return nil, FormatError("the index is empty")
	}
	b := append([]byte(nil), indexMark...)
	b = binary.AppendUvarint(b, uint64(x.length))
	b = binary.LittleEndian.AppendUint64(b, x.digest)
	b = binary.AppendUvarint(b, uint64(x.down))
	b = binary.AppendUvarint(b, uint64(len(x.rows)))
	last := int64(0)
	for _, p := range x.rows {
		at := p.offset*8 + int64(p.bit)
		b = binary.AppendUvarint(b, uint64(at-last))
		last = at
		for _, v := range p.pred {
			b = binary.AppendVarint(b, int64(v))
		}
	}
	return b, nil
}

// maxRows is more rows of units than a picture of 65535 rows has.
const maxRows = 65536 / 8

// UnmarshalBinary implements encoding.BinaryUnmarshaler. It takes nothing that
// leads out of the data; an index that is wrong in another way gives a wrong
// picture.
func (x *Index) UnmarshalBinary(b []byte) error {
	r := varints{b: b}
	if mark := r.bytes(len(indexMark)); string(mark) != indexMark {
		return FormatError("no index")
	}
	out := Index{length: int64(r.next())}
	if d := r.bytes(8); d != nil {
		out.digest = binary.LittleEndian.Uint64(d)
	}
	down, count := r.next(), r.next()
	if r.bad || out.length <= 0 || down == 0 || down > maxRows || count == 0 || count > down {
		return FormatError("broken index")
	}
	out.down = int(down)
	at := uint64(0)
	for range count {
		step := r.next()
		if step > uint64(out.length)*8 {
			return FormatError("broken index")
		}
		at += step
		p := place{offset: int64(at >> 3), bit: uint8(at & 7)}
		for i := range p.pred {
			p.pred[i] = int16(r.signed())
		}
		if r.bad || p.offset >= out.length {
			return FormatError("broken index")
		}
		out.rows = append(out.rows, p)
	}
	if len(r.b) != 0 {
		return FormatError("bytes behind the index")
	}
	*x = out
	return nil
}

// varints reads from the front of b until something is not there.
type varints struct {
	b   []byte
	bad bool
}

func (r *varints) bytes(n int) []byte {
	if r.bad || len(r.b) < n {
		r.bad = true
		return nil
	}
	out := r.b[:n]
	r.b = r.b[n:]
	return out
}

func (r *varints) next() uint64 {
	v, n := binary.Uvarint(r.b)
	r.bad = r.bad || n <= 0
	if r.bad {
		return 0
	}
	r.b = r.b[n:]
	return v
}

func (r *varints) signed() int64 {
	v, n := binary.Varint(r.b)
	r.bad = r.bad || n <= 0
	if r.bad {
		return 0
	}
	r.b = r.b[n:]
	return v
}
