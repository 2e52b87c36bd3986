package craft

import (
	"errors"
	"io"
)

// Counter counts what is asked of a reader.
type Counter struct {
	R     io.ReaderAt
	Reads int
	Bytes int64
}

// ReadAt passes the call on.
func (c *Counter) ReadAt(p []byte, off int64) (int, error) {
	c.Reads++
	c.Bytes += int64(len(p))
	return c.R.ReadAt(p, off)
}

// ErrDevice is what Broken fails with.
var ErrDevice = errors.New("device error")

// Broken fails on every read that touches the bytes from From on.
type Broken struct {
	R    io.ReaderAt
	From int64
}

// ReadAt gives what lies before the broken place.
func (b *Broken) ReadAt(p []byte, off int64) (int, error) {
	if off+int64(len(p)) <= b.From {
		return b.R.ReadAt(p, off)
	}
	if off >= b.From {
		return 0, ErrDevice
	}
	n, err := b.R.ReadAt(p[:b.From-off], off)
	if err == nil {
		err = ErrDevice
	}
	return n, err
}
