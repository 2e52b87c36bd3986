// Package bin reads small pieces of large files of unknown quality: Source
// fetches byte ranges within a budget of reads and bytes, Cursor takes numbers
// out of a fetched range. Neither panics on any input, and no length that a file
// declares decides how much memory is taken.
package bin

import (
	"errors"
	"fmt"
	"io"
)

// The two reasons for which At refuses a range; what the underlying reader says
// is the third.
var (
	ErrEnd    = errors.New("past the end of the file")
	ErrBudget = errors.New("read limit reached")
)

const (
	// headBlock is the first read of a file. Camera files keep their directories
	// at the front: one read gets them all in nearly every file.
	headBlock = 32 << 10
	// block is a read anywhere else: enough for the headers of an embedded JPEG.
	block = 4 << 10
	// near is the gap between two ranges that is read rather than jumped, because
	// a read costs more than bytes do.
	near = 2 << 10
	// align is the grain at which a new range begins: values often lie just before
	// the place that points to them.
	align = 512
)

// Source is a bounded, caching, counting reader. It is not safe for concurrent use.
type Source struct {
	r        io.ReaderAt
	size     int64
	reads    int
	maxReads int
	bytes    int64
	maxBytes int64
	failed   error
	spans    []span
}

// span is a fetched range of the file.
type span struct {
	off  int64
	data []byte
}

func (s *span) end() int64 { return s.off + int64(len(s.data)) }

// NewSource reads from r, which holds size bytes, at most maxReads times and at
// most maxBytes bytes in all.
func NewSource(r io.ReaderAt, size int64, maxReads int, maxBytes int64) *Source {
	return &Source{r: r, size: max(size, 0), maxReads: maxReads, maxBytes: maxBytes}
}

// Size is the length of the file in bytes.
func (s *Source) Size() int64 { return s.size }

// Reads is how many times the underlying reader was asked.
func (s *Source) Reads() int { return s.reads }

// BytesRead is how many bytes the underlying reader was asked for.
func (s *Source) BytesRead() int64 { return s.bytes }

// Failed is the first error of the underlying reader itself, nil if it never failed.
func (s *Source) Failed() error { return s.failed }

// Inside reports whether the n bytes at off lie in the file.
func (s *Source) Inside(off, n int64) bool {
	return off >= 0 && n >= 0 && off <= s.size && n <= s.size-off
}

// At returns exactly n bytes at off, from what was already fetched if it can. The
// slice is shared with later callers and must not be changed. The error wraps
// ErrEnd, ErrBudget or what the reader said.
func (s *Source) At(off int64, n int) ([]byte, error) {
	if !s.Inside(off, int64(n)) {
		return nil, fmt.Errorf("%d bytes at %d: %w", n, off, ErrEnd)
	}
	if n == 0 {
		return nil, nil
	}
	end := off + int64(n)
	var grow *span
	for i := range s.spans {
		sp := &s.spans[i]
		if off < sp.off {
			continue
		}
		if end <= sp.end() {
			return sp.data[off-sp.off:][:n:n], nil
		}
		if off-sp.end() <= near {
			grow = sp
		}
	}
	if grow == nil {
		s.spans = append(s.spans, span{off: off - off%align})
		grow = &s.spans[len(s.spans)-1]
	}
	if err := s.fetch(grow, end); err != nil {
		if len(grow.data) == 0 { // a new one that stayed empty is the last
			s.spans = s.spans[:len(s.spans)-1]
		}
		return nil, err
	}
	return grow.data[off-grow.off:][:n:n], nil
}

// UpTo returns n bytes at off, or as many as the file has there.
func (s *Source) UpTo(off int64, n int) ([]byte, error) {
	if off >= 0 && off <= s.size {
		n = int(min(int64(n), s.size-off))
	}
	return s.At(off, n)
}

// fetch extends a span to end or somewhat further.
func (s *Source) fetch(sp *span, end int64) error {
	from := sp.end()
	need, left := end-from, s.maxBytes-s.bytes
	if s.reads >= s.maxReads || need > left {
		return fmt.Errorf("%d bytes at %d: %w", need, from, ErrBudget)
	}
	want := int64(headBlock)
	if from > 0 {
		// Beyond the head no read may take more than its share of what is left, so
		// that the last ones are not starved by the first.
		want = min(block, left/int64(s.maxReads-s.reads))
	}
	want = min(max(want, need), left, s.size-from)
	s.reads++
	s.bytes += want
	buf := make([]byte, len(sp.data)+int(want))
	got, err := s.r.ReadAt(buf[copy(buf, sp.data):], from)
	// What did arrive is kept: a bad sector must not take the good ones before it.
	sp.data = buf[:len(sp.data)+min(max(got, 0), int(want))]
	if int64(got) >= need {
		return nil
	}
	if err == nil || err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	err = fmt.Errorf("read %d bytes at %d: %w", want, from, err)
	if s.failed == nil {
		s.failed = err
	}
	return err
}
