package term

import (
	"errors"

	"garner/preview/jpeg"
	"garner/preview/term/sixel"
)

// errStopped says that a picture that was being prepared is wanted no more.
var errStopped = errors.New("the picture is wanted no more")

// easel is what one goroutine needs to prepare pictures, one after the other:
// buffers that are used again.
type easel struct {
	stop   <-chan struct{} // nil: never
	cores  int             // that may be used: what is prepared ahead leaves the others alone
	scaled jpeg.Image
	dimmed jpeg.Image
	pixels []byte
	packer packer
	dither dither
	half   []int32 // colours of the half cells
	out    []byte
	sixel  *sixel.Encoder
}

// stopped reports whether the work may be left; asked between its steps.
func (e *easel) stopped() bool {
	select {
	case <-e.stop:
		return true
	default:
		return false
	}
}
