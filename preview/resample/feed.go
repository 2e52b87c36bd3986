package resample

import (
	"errors"
	"fmt"
	"image"

	"garner/preview/resample/internal/lanes"
)

// Feed takes the rows of one picture and gives them to several resamplers. It is for
// one goroutine.
//
// Width rows are collected, then laid side by side in lanes, some columns at a time:
// a window that fits into the nearest cache slides over the rows, and each resampler
// makes the pixels that it covers.
type Feed struct {
	w, h   int
	to     []*Resampler
	rows   []float32 // Width of them
	stride int
	have   int // rows in it
	y      int // number of the first of them
	window []float32
	keep   int // taps across, at most
	err    error
}

// columns is how many columns come into the window at a time.
const columns = 128

// ErrRows says that a feed got more or fewer rows than the picture has.
var ErrRows = errors.New("the picture has another number of rows")

// NewFeed returns a feed of w by h pixels for resamplers whose parts lie inside.
func NewFeed(w, h int, to ...*Resampler) (*Feed, error) {
	if err := checkSize(w, h); err != nil {
		return nil, err
	}
	f := &Feed{w: w, h: h, to: to, stride: roundUp(w * channels)}
	lanesNeeded := false
	for _, r := range to {
		if !r.crop.In(image.Rect(0, 0, w, h)) {
			return nil, fmt.Errorf("the part %v lies outside of %d x %d pixels", r.crop, w, h)
		}
		if r.emitted > 0 || r.x > 0 {
			return nil, errors.New("a resampler is for one picture")
		}
		if !r.copied {
			lanesNeeded = true
			f.keep = max(f.keep, r.across.N)
		}
	}
	f.rows = make([]float32, width*f.stride+width) // a block may begin anywhere
	if lanesNeeded {
		// Fewer than keep columns stay from what was; beyond the last one there may be
		// one more tap, of weight 0.
		f.window = make([]float32, (f.keep+columns)*channels*width)
	}
	return f, nil
}

// Row is the memory of the next row, 3 w values, for the caller to fill.
func (f *Feed) Row() []float32 { return f.rows[f.have*f.stride:][:f.w*channels] }

// Push is Row and Done with a row that lies elsewhere.
func (f *Feed) Push(row []float32) error {
	if len(row) != f.w*channels {
		return f.fail(fmt.Errorf("a row of %d values for %d pixels", len(row), f.w))
	}
	copy(f.Row(), row)
	return f.Done()
}

// Done hands on the row that Row gave. An error is that of a sink, or ErrRows; the
// feed then stays at it.
func (f *Feed) Done() error {
	if f.err != nil {
		return f.err
	}
	if f.y+f.have == f.h {
		return f.fail(ErrRows)
	}
	for _, r := range f.to {
		if r.copied {
			if err := r.pass(f.Row(), f.y+f.have); err != nil {
				return f.fail(err)
			}
		}
	}
	if f.have++; f.have < width && f.y+f.have < f.h {
		return nil
	}
	f.spread()
	f.y, f.have = f.y+f.have, 0
	for _, r := range f.to {
		if r.copied {
			continue
		}
		if err := r.emit(f.y); err != nil {
			return f.fail(err)
		}
	}
	return nil
}

// Close reports whether all rows came.
func (f *Feed) Close() error {
	if f.err == nil && f.y+f.have != f.h {
		f.err = ErrRows
	}
	return f.err
}

func (f *Feed) fail(err error) error {
	f.err = err
	return err
}

// spread slides the window over the rows.
func (f *Feed) spread() {
	left, right := f.w, 0 // what anybody wants
	for _, r := range f.to {
		if !r.copied && r.wants(f.y) {
			r.x = 0
			left, right = min(left, r.crop.Min.X), max(right, r.crop.Max.X)
		}
	}
	from, to := left, left
	for to < right {
		n := min(columns, right-to)
		lanes.Gather(f.window[(to-from)*channels*width:], f.rows[to*channels:], f.stride, n*channels)
		to += n
		if to == right { // the tap of weight 0 must not meet what is no number
			clear(f.window[(to-from)*channels*width:][:channels*width])
		}
		keep := to
		for _, r := range f.to {
			if !r.copied && r.wants(f.y) {
				r.reach(f.window, from, to, f.y)
				keep = min(keep, r.left(to))
			}
		}
		copy(f.window, f.window[(keep-from)*channels*width:(to-from)*channels*width])
		from = keep
	}
}
