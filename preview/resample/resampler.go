package resample

import (
	"fmt"
	"image"

	"garner/preview/resample/internal/lanes"
)

// MaxEdge and MaxPixels are the largest sizes of sources and results.
const (
	MaxEdge   = 100_000
	MaxPixels = 1 << 30
)

// maxRing is how many values the rows under work may have: far beyond what a picture
// needs that keeps its shape.
const maxRing = 1 << 26

const (
	channels = 3
	width    = lanes.Width
)

// Sink takes a finished row. The row is only valid during the call.
type Sink func(y int, row []float32) error

// Resampler brings a part of a picture to a size. It is fed by a Feed.
type Resampler struct {
	crop         image.Rectangle
	w, h         int
	sink         Sink
	across, down taps
	copied       bool // the part has the size already

	x       int       // pixels of the rows at work that are done
	block   []float32 // pixels of Width rows side by side
	ring    []float32 // rows of the result's width
	stride  int
	slots   int   // rows of the ring
	at      []int // where the rows of one sum begin
	out     []float32
	emitted int
}

// atOnce is how many pixels are made before they are laid into rows.
const atOnce = 64

// New returns what makes w by h pixels of the part of a picture. Rows go to sink
// from top to bottom, in linear light.
func New(crop image.Rectangle, w, h int, sink Sink) (*Resampler, error) {
	if err := checkSize(crop.Dx(), crop.Dy()); err != nil {
		return nil, err
	}
	if err := checkSize(w, h); err != nil {
		return nil, err
	}
	r := &Resampler{crop: crop, w: w, h: h, sink: sink}
	if crop.Dx() == w && crop.Dy() == h {
		r.copied = true
		return r, nil
	}
	r.across, r.down = weigh(crop.Dx(), w), weigh(crop.Dy(), h)
	r.stride = roundUp(w*channels) + width // room for what goes beyond the last pixel
	r.slots = roundUp(r.down.count + width)
	if int64(r.slots)*int64(r.stride) > maxRing {
		return nil, fmt.Errorf("%d x %d pixels become %d x %d: too far from their shape", crop.Dx(), crop.Dy(), w, h)
	}
	r.block = make([]float32, (atOnce*channels+width)*width)
	r.ring = make([]float32, r.slots*r.stride)
	r.at = make([]int, r.down.count)
	r.out = make([]float32, r.stride)
	return r, nil
}

func checkSize(w, h int) error {
	if w <= 0 || h <= 0 || w > MaxEdge || h > MaxEdge || int64(w)*int64(h) > MaxPixels {
		return fmt.Errorf("%d x %d is no size for a picture", w, h)
	}
	return nil
}

func roundUp(n int) int { return (n + width - 1) / width * width }

// wants reports whether any of the rows from y on, Width of them, is needed.
func (r *Resampler) wants(y int) bool { return y < r.crop.Max.Y && y+width > r.crop.Min.Y }

// reach makes those pixels for which the source is there up to column end. src begins
// at column origin; y is the number of the first of its rows.
func (r *Resampler) reach(src []float32, origin, end, y int) {
	origin, end = origin-r.crop.Min.X, min(end-r.crop.Min.X, r.crop.Dx())
	to := r.x
	for to < r.w && int(r.across.First[to])+r.across.count <= end {
		to++
	}
	slot := y % r.slots // whole groups: both are multiples of Width
	for r.x < to {
		n := min(to-r.x, atOnce)
		lanes.Across(r.block, src, &r.across.Taps, r.x, r.x+n, origin)
		lanes.Scatter(r.ring[slot*r.stride+r.x*channels:], r.stride, r.block, n*channels)
		r.x += n
	}
}

// left is the first column that is still to be read, or end.
func (r *Resampler) left(end int) int {
	if r.copied || r.x == r.w {
		return end
	}
	return min(r.crop.Min.X+int(r.across.First[r.x]), end)
}

// emit hands on the rows that are whole now that the source is there up to row end.
func (r *Resampler) emit(end int) error {
	have := min(end-r.crop.Min.Y, r.crop.Dy())
	n := r.down.count
	for ; r.emitted < r.h; r.emitted++ {
		first := int(r.down.First[r.emitted])
		if first+n > have {
			return nil
		}
		for k := range n {
			r.at[k] = (first + k + r.crop.Min.Y) % r.slots * r.stride
		}
		lanes.Down(r.out[:roundUp(r.w*channels)], r.ring, r.at[:n], r.down.Weight[r.emitted*r.down.N:][:n])
		if err := r.sink(r.emitted, r.out[:r.w*channels]); err != nil {
			return err
		}
	}
	return nil
}

// pass hands on a row that is in the result as it is.
func (r *Resampler) pass(row []float32, y int) error {
	if y < r.crop.Min.Y || y >= r.crop.Max.Y {
		return nil
	}
	r.emitted++
	return r.sink(y-r.crop.Min.Y, row[r.crop.Min.X*channels:r.crop.Max.X*channels])
}
