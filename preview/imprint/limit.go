package imprint

import (
	"fmt"
	"slices"

	"garner/preview/jpeg"
)

// LimitError says that a picture cannot be written in as few bytes as asked for.
type LimitError struct {
	Limit    int // bytes
	Smallest int // bytes that it takes at the lowest quality allowed
	Quality  int // that quality
	Overhead int // bytes of Smallest that are metadata and profile
}

// Error implements error.
func (e *LimitError) Error() string {
	return fmt.Sprintf("cannot be made as small as %d bytes: at the lowest quality, %d, it has %d, %d of them metadata and profile",
		e.Limit, e.Quality, e.Smallest, e.Overhead)
}

// defaultFloor is the quality below which a picture is not worth showing to a
// client: a judgement by eye.
const defaultFloor = 30

// encode encodes m at the best quality up to o.Quality whose file has at most
// o.Limit bytes. The first overhead bytes of the result are for the segments before
// the picture; the encoder's own end there. The sizes are
// taken to grow with the quality, so that at most eight are tried; where they do
// not, a quality near the best may be missed, but never the limit.
func (w *Written) encode(m *jpeg.Image, o *Output, overhead int) ([]byte, error) {
	var spare []byte
	at := func(quality int) (b []byte, size int, err error) {
		w.Tries++
		b = slices.Grow(spare[:0], overhead)[:overhead-jfifEnd]
		spare = nil
		b, err = jpeg.AppendEncode(b, m, quality)
		return b, len(b), err
	}
	best, size, err := at(o.Quality)
	if err != nil || o.Limit == 0 || size <= o.Limit {
		w.Quality = o.Quality
		return best, err
	}
	floor := o.Floor
	if floor == 0 {
		floor = defaultFloor
	}
	smallest := LimitError{o.Limit, size, o.Quality, overhead}
	spare, best = best, nil
	for low, high := min(floor, o.Quality), o.Quality-1; low <= high; {
		q := (low + high) / 2
		b, size, err := at(q)
		if err != nil {
			return nil, err
		}
		if size > o.Limit {
			if size < smallest.Smallest {
				smallest.Smallest, smallest.Quality = size, q
			}
			high, spare = q-1, b
			continue
		}
		w.Quality, low = q, q+1
		best, spare = b, best
	}
	if best == nil {
		return nil, &smallest
	}
	return best, nil
}
