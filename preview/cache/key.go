package cache

import "strconv"

// Key names one picture made from a preview. Two different keys never have the
// same String.
type Key struct {
	Frame       string // id of the frame
	Place       string // where in its files the preview lies
	Orientation int
	Size        int // long edge in pixels
	Codec       int // version of the code that made it
}

// String returns the key in the form that Get and Put take.
func (k Key) String() string {
	b := strconv.AppendQuote(nil, k.Frame)
	b = strconv.AppendQuote(b, k.Place)
	for _, n := range []int{k.Orientation, k.Size, k.Codec} {
		b = append(b, ' ')
		b = strconv.AppendInt(b, int64(n), 10)
	}
	return string(b)
}
