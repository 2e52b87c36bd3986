package nn

import (
	"errors"
	"fmt"
)

// MaxValues is the largest number of values in a tensor, or of weights in a layer.
const MaxValues = 1 << 24

// Tensor is a picture of H rows, W columns and C channels. The value of row y,
// column x and channel c is Data[(y*W+x)*C+c].
type Tensor struct {
	H, W, C int
	Data    []float32
}

// ErrShape is what every error about sizes wraps.
var ErrShape = errors.New("nn: shapes do not fit")

func shapeError(format string, args ...any) error {
	return fmt.Errorf("%w: "+format, append([]any{ErrShape}, args...)...)
}

// New returns a tensor of zeros.
func New(h, w, c int) (*Tensor, error) {
	t := &Tensor{}
	return t, t.Reset(h, w, c)
}

// Reset gives t another shape and memory for it. Values are what they happen to be.
func (t *Tensor) Reset(h, w, c int) error {
	n, ok := volume(h, w, c)
	if !ok {
		return shapeError("no tensor of %d x %d x %d", h, w, c)
	}
	t.H, t.W, t.C = h, w, c
	if cap(t.Data) < n {
		t.Data = make([]float32, n)
	}
	t.Data = t.Data[:n]
	return nil
}

// Row returns the values of row y.
func (t *Tensor) Row(y int) []float32 {
	return t.Data[y*t.W*t.C : (y+1)*t.W*t.C]
}

// check says whether t is what its shape says.
func (t *Tensor) check() error {
	if n, ok := volume(t.H, t.W, t.C); !ok || n != len(t.Data) {
		return shapeError("a tensor of %d x %d x %d has %d values", t.H, t.W, t.C, len(t.Data))
	}
	return nil
}

// volume multiplies sizes, of which each is at least 1 and the product at most
// MaxValues.
func volume(sizes ...int) (int, bool) {
	n := 1
	for _, s := range sizes {
		if s < 1 || s > MaxValues/n {
			return 0, false
		}
		n *= s
	}
	return n, true
}
