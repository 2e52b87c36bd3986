package jpeg

import (
	"fmt"
	"image"

	"garner/preview/jpeg/internal/entropy"
)

// DefaultMaxPixels is the largest picture that is decoded where Options say
// nothing: above the 151 MP of the largest medium-format sensors.
const DefaultMaxPixels = 160 << 20

// MinBits is the least that an 8x8 block takes in sequential coding: one bit
// for its DC code and one for the end of block (T.81 F.1.2). Progressive coding
// takes at least half of it, since one code can end whole runs of blocks.
const MinBits = 2

// Options say how to decode. The zero value is the whole picture at full size.
type Options struct {
	Scale     int             // 1, 2, 4 or 8: one sample is the mean of that many squared; 0 = 1
	MaxPixels int             // declared pixels above which a picture is refused; 0 = DefaultMaxPixels. Progressive ones: half of it
	Stop      <-chan struct{} // closed: decoding ends early with ErrStopped, as the Done of a context
	Into      *Image          // an Image whose planes may be reused and that is returned; nil = a new one
	Crop      image.Rectangle // the part that is wanted, in samples at full size as stored; empty = all. See Image.Origin
	Index     *Index          // filled if it is empty, used if it is full and belongs to this JPEG; nil = none
	Luma      bool            // chroma is not wanted: the Image is grey
	Workers   int             // cores to use at most; 0 = 1
}

// Decode decodes one JPEG. At a scale of 2, 4 or 8 each sample is the mean of
// its square of samples of the full decode, each plane by itself, so that the
// size is rounded up. At the right and the lower edge only samples inside the
// picture count, but for an eighth: there a sample is the mean of a whole block,
// with what the coder filled it up with.
//
// A picture whose data end too early or are broken gives the rows before that
// with Truncated set, if there is at least one row of blocks; a progressive
// one gives what its complete scans hold. On error the Image is nil.
func Decode(src []byte, o Options) (*Image, error) {
	return NewDecoder().Decode(src, o)
}

// Decoder decodes one JPEG after another. It keeps the tables and buffers that
// it made, which is worth it where there are many; it is not for use by several
// goroutines at a time.
type Decoder struct {
	header  header
	job     job
	tables  tableCache
	units   []entropy.Unit
	workers []*worker
	places  []place
	markers []int
	bands   []*entropy.Strip
}

// NewDecoder returns a Decoder.
func NewDecoder() *Decoder { return &Decoder{tables: tableCache{}} }

// Decode is the function Decode with what the Decoder keeps.
func (d *Decoder) Decode(src []byte, o Options) (*Image, error) {
	switch o.Scale {
	case 0:
		o.Scale = 1
	case 1, 2, 4, 8:
	default:
		return nil, UnsupportedError(fmt.Sprintf("scale 1/%d", o.Scale))
	}
	h := &d.header
	if err := h.parse(src); err != nil {
		return nil, err
	}
	if err := h.admit(int64(len(src)), o.MaxPixels); err != nil {
		return nil, err
	}
	h.stop = o.Stop
	part := image.Rect(0, 0, h.Width, h.Height)
	if !o.Crop.Empty() {
		if part = part.Intersect(o.Crop); part.Empty() {
			return nil, UnsupportedError(fmt.Sprintf("a part outside the picture: %v of %dx%d", o.Crop, h.Width, h.Height))
		}
	}
	if !d.job.sequential(h) {
		return h.standard(src, o, part)
	}
	defer d.forget()
	return d.decode(src, o, part)
}

// forget lets go of what belongs to the caller.
func (d *Decoder) forget() {
	d.header.stop = nil
	d.job = job{}
	for _, k := range d.workers {
		k.done()
	}
}

// admit refuses what is too large or cannot be true.
func (h *header) admit(size int64, maxPixels int) error {
	if h.Precision != 8 {
		return UnsupportedError(fmt.Sprintf("%d bits a sample", h.Precision))
	}
	if maxPixels <= 0 {
		maxPixels = DefaultMaxPixels
	}
	bits := h.blocks() * MinBits
	if h.Progressive { // its coefficients are all kept until the end
		maxPixels, bits = maxPixels/2, bits/2
	}
	if int64(h.Width)*int64(h.Height) > int64(maxPixels) {
		return &SizeError{h.Width, h.Height, size, "more pixels than allowed"}
	}
	if (size-h.scan)*8 < bits {
		return &SizeError{h.Width, h.Height, size, "more than the data can hold"}
	}
	return nil
}

func stopped(stop <-chan struct{}) bool {
	select {
	case <-stop:
		return true
	default:
		return false // a nil channel too
	}
}
