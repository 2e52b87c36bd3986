package nn

import "sync"

// Padding says what lies around a picture for a layer with a window.
type Padding uint8

const (
	Valid Padding = iota // nothing: the window stays inside
	Same                 // zeros, so that the result has ceil(size/stride) places
)

// Out returns the number of places a window has along one side of a picture, and
// how many zeros come before it and after it. Where their number is odd, the one
// more comes after, as TensorFlow has it. There may be no place (out < 1).
func (p Padding) Out(size, kernel, stride int) (out, before, after int) {
	if p == Valid {
		if size < kernel {
			return 0, 0, 0
		}
		return (size-kernel)/stride + 1, 0, 0
	}
	out = (size + stride - 1) / stride
	all := max((out-1)*stride+kernel-size, 0)
	return out, all / 2, all - all/2
}

// window is a kernel with its steps and its padding.
type window struct {
	kh, kw, sh, sw int
	pad            Padding
}

// maxWindow bounds the sides and steps of a window.
const maxWindow = 64

func (w window) check() error {
	for _, v := range []int{w.kh, w.kw, w.sh, w.sw} {
		if v < 1 || v > maxWindow {
			return shapeError("no window of %d x %d in steps of %d, %d", w.kh, w.kw, w.sh, w.sw)
		}
	}
	if w.pad > Same {
		return shapeError("no padding %d", w.pad)
	}
	return nil
}

// out returns the size of the result for a picture of h x w.
func (w window) out(h, wide int) (oh, ow int, err error) {
	oh, _, _ = w.pad.Out(h, w.kh, w.sh)
	ow, _, _ = w.pad.Out(wide, w.kw, w.sw)
	if oh < 1 || ow < 1 {
		err = shapeError("a window of %d x %d has no place in %d x %d", w.kh, w.kw, h, wide)
	}
	return oh, ow, err
}

// scratches lends memory to a run.
var scratches = sync.Pool{New: func() any { return new(scratch) }}

type scratch struct {
	padded     Tensor
	at         []int
	rows, cols []span
	job        placesJob
}

// around returns the picture with the zeros that the window wants, so that what
// runs over it knows no border: in itself where it wants none.
func (w window) around(in *Tensor, s *scratch) (*Tensor, error) {
	_, top, bottom := w.pad.Out(in.H, w.kh, w.sh)
	_, left, right := w.pad.Out(in.W, w.kw, w.sw)
	if top+bottom+left+right == 0 {
		return in, nil
	}
	err := Pad(&s.padded, in, [3][2]int{{top, bottom}, {left, right}}, 0)
	return &s.padded, err
}
