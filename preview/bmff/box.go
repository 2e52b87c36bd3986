package bmff

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"garner/preview/internal/bin"
)

// What can be wrong with boxes; the source's errors come on top.
var (
	ErrSize    = errors.New("impossible box size")
	ErrTooMany = errors.New("too many boxes")
	ErrTable   = errors.New("impossible table")
)

// maxBoxes bounds what one Reader looks at. A telephone's picture of 64 tiles has
// about 300.
const maxBoxes = 4096

// Box is one box: where it lies, not what is in it.
type Box struct {
	Type   string   // four characters, which may be any bytes
	UUID   [16]byte // of Type "uuid": the extended type
	Offset int64    // of the header, from the start of the file
	Body   int64    // where the content begins
	End    int64    // where it ends; never behind the end of the box around it
	Cut    bool     // the declared size reaches further than that
}

// Len is the length of the content in bytes.
func (b Box) Len() int64 { return b.End - b.Body }

// Reader reads boxes of one file. The limit on their number is for all its calls
// together.
type Reader struct {
	src   *bin.Source
	boxes int
}

// NewReader reads boxes from src.
func NewReader(src *bin.Source) *Reader { return &Reader{src: src} }

// Top returns the boxes of the file's top level. Those before a fault are returned
// with the error.
func (r *Reader) Top() ([]Box, error) { return r.list(0, r.src.Size()) }

// Children returns the boxes inside b, behind the skip bytes of b's own fields.
// Those before a fault are returned with the error.
func (r *Reader) Children(b Box, skip int64) ([]Box, error) {
	if skip < 0 || skip > b.Len() {
		return nil, fmt.Errorf("content of box %q at %d: %w", b.Type, b.Offset, bin.ErrEnd)
	}
	return r.list(b.Body+skip, b.End)
}

// list reads the boxes from off to end.
func (r *Reader) list(off, end int64) ([]Box, error) {
	var out []Box
	// Fewer bytes than a header are padding: QuickTime ends a list with four zeros.
	for end-off >= 8 {
		b, err := r.header(off, end)
		if err != nil {
			return out, err
		}
		out = append(out, b)
		off = b.End // at least 8 bytes on, so this ends
	}
	return out, nil
}

// header reads the header of the box at off, which lies in something that ends at
// end (§4.2): size and type, then the size in 64 bits if it is 1, then the
// extended type if the type is "uuid". Size 0 means "to the end".
func (r *Reader) header(off, end int64) (Box, error) {
	if r.boxes++; r.boxes > maxBoxes {
		return Box{}, fmt.Errorf("box at %d: %w", off, ErrTooMany)
	}
	h, err := r.src.At(off, int(min(32, end-off)))
	if err != nil {
		return Box{}, err
	}
	c := bin.NewCursor(h, binary.BigEndian)
	size := uint64(c.U32())
	b := Box{Type: string(c.Bytes(4)), Offset: off}
	switch size {
	case 0:
		size = uint64(end - off)
	case 1:
		size = c.U64()
	}
	if b.Type == "uuid" {
		copy(b.UUID[:], c.Bytes(16))
	}
	if c.Err() != nil || size < uint64(c.Pos()) {
		return Box{}, fmt.Errorf("box %q of %d bytes at %d: %w", b.Type, size, off, ErrSize)
	}
	b.Body = off + int64(c.Pos())
	b.End = end
	if size > math.MaxInt64 || int64(size) > end-off {
		b.Cut = true
	} else {
		b.End = off + int64(size)
	}
	return b, nil
}

// Content returns the first n bytes of a box's content, fewer if it has fewer.
func (r *Reader) Content(b Box, n int) ([]byte, error) {
	return r.src.At(b.Body, int(min(int64(n), b.Len())))
}

// Full returns the content of a full box (§4.2): version and flags, and a cursor
// over at most n bytes of what follows.
func (r *Reader) Full(b Box, n int) (version byte, flags uint32, c *bin.Cursor, err error) {
	p, err := r.Content(b, n+4)
	if err != nil {
		return 0, 0, nil, err
	}
	c = bin.NewCursor(p, binary.BigEndian)
	v := c.U32()
	if c.Err() != nil {
		return 0, 0, nil, fmt.Errorf("box %q at %d: %w", b.Type, b.Offset, ErrSize)
	}
	return byte(v >> 24), v & 0xFFFFFF, c, nil
}

// First returns the first box of a type.
func First(boxes []Box, typ string) (Box, bool) {
	for _, b := range boxes {
		if b.Type == typ {
			return b, true
		}
	}
	return Box{}, false
}

// Inside follows types down from b, the first box of each; it reports false where
// one is missing. Only plain container boxes, those without fields of their own,
// can stand on the way.
func (r *Reader) Inside(b Box, types ...string) (Box, bool, error) {
	for _, t := range types {
		kids, err := r.Children(b, 0)
		k, ok := First(kids, t)
		if !ok {
			return Box{}, false, err
		}
		b = k
	}
	return b, true, nil
}

// At reads the header of a box that something else than the list of boxes says is
// at off.
func (r *Reader) At(off int64) (Box, error) {
	end := r.src.Size()
	if off < 0 || off > end-8 {
		return Box{}, fmt.Errorf("box at %d: %w", off, bin.ErrEnd)
	}
	return r.header(off, end)
}
