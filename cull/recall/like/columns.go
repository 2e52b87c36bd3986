package like

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// Columns are the looks of many frames in a file. They may be used by several
// goroutines at once.
type Columns struct {
	r    io.ReaderAt
	rows int
	have shapes
}

// Open reads header and footer of a file of Columns. Blocks are read, and held against
// their checksums, whenever they are needed.
func Open(r io.ReaderAt, size int64) (*Columns, error) {
	rows, err := rowsIn(size)
	if err != nil {
		return nil, err
	}
	head, foot := make([]byte, headerBytes), make([]byte, footerBytes)
	if err := readAt(r, head, 0); err != nil {
		return nil, err
	}
	if err := readAt(r, foot, size-footerBytes); err != nil {
		return nil, err
	}
	switch {
	case string(head[:len(magic)]) != magic:
		return nil, FormatError("this is none")
	case !bytes.Equal(head, header()):
		return nil, FormatError(fmt.Sprintf("it was written by another version (%d) or of looks that were measured in another way (%d)", binary.LittleEndian.Uint16(head[len(magic):]), head[len(magic)+2]))
	}
	c := &Columns{r: r, rows: rows}
	sum := uint64(0)
	for i := range c.have {
		c.have[i] = binary.LittleEndian.Uint32(foot[4*i:])
		sum += uint64(c.have[i])
	}
	if !bytes.Equal(foot, c.have.footer(head)) || sum != uint64(rows) {
		return nil, FormatError("it is cut off or damaged")
	}
	return c, nil
}

// Rows is how many frames there are.
func (c *Columns) Rows() int { return c.rows }

// Known is how many of them have a look, so that they can be found.
func (c *Columns) Known() int { return c.rows - int(c.have[noLook]) }

func (c *Columns) blocks() int { return (c.rows + blockRows - 1) / blockRows }

// read reads one block. The buffer is used anew by the same goroutine.
func (c *Columns) read(at int, b *block, buffer []byte) error {
	const whole = blockRows*rowBytes + sumBytes
	rows := min(blockRows, c.rows-at*blockRows)
	src := buffer[:rows*rowBytes+sumBytes]
	if err := readAt(c.r, src, int64(headerBytes)+int64(at)*whole); err != nil {
		return err
	}
	return b.parse(src, rows)
}

// readAt fills b.
func readAt(r io.ReaderAt, b []byte, at int64) error {
	if n, err := r.ReadAt(b, at); n < len(b) {
		if err == nil || errors.Is(err, io.EOF) {
			return FormatError("it is cut off")
		}
		return fmt.Errorf("the index of looks cannot be read: %w", err)
	}
	return nil
}

// buffer is room for one block as it is read.
func buffer() []byte { return make([]byte, blockRows*rowBytes+sumBytes) }
