package finished

import (
	"bytes"
	"fmt"
	"io"
)

// Limits on declared sizes. Panoramas have some 30,000 pixels on their long edge.
const (
	maxSide   = 100_000
	maxPixels = 512 << 20
	maxFile   = 4 << 30 // bytes; a TIFF of 32-bit offsets has no more
)

// Open finds out what a picture of size bytes is. It reads heads; r must stay
// readable for as long as rows are wanted. The error is one of this package's, or
// what r said.
func Open(r io.ReaderAt, size int64) (*Picture, error) {
	p := &Picture{Orientation: 1, r: r, size: size}
	switch {
	case size <= 0:
		return nil, FormatError("an empty file")
	case size > maxFile:
		return nil, UnsupportedError(fmt.Sprintf("%d GB: larger than any picture that is read", size>>30))
	}
	head, err := readRange(r, 0, min(size, 8))
	if err != nil {
		return nil, err
	}
	var open func() error
	switch {
	case bytes.HasPrefix(head, []byte{0xFF, 0xD8, 0xFF}):
		p.Format, open = JPEG, p.openJPEG
	case bytes.HasPrefix(head, []byte("II*\x00")), bytes.HasPrefix(head, []byte("MM\x00*")):
		p.Format, open = TIFF, p.openTIFF
	case bytes.HasPrefix(head, []byte("II+\x00")), bytes.HasPrefix(head, []byte("MM\x00+")):
		return nil, UnsupportedError("a BigTIFF, which is not read")
	case bytes.Equal(head, []byte(pngSignature)):
		p.Format, open = PNG, p.openPNG
	default:
		return nil, FormatError("neither a JPEG nor a TIFF nor a PNG")
	}
	if err := open(); err != nil {
		return nil, err
	}
	p.describe()
	return p, nil
}

// admit refuses sizes that no picture has.
func (p *Picture) admit() error {
	w, h := p.Width, p.Height
	switch {
	case w <= 0 || h <= 0:
		return FormatError("a picture without pixels")
	case w > maxSide || h > maxSide || int64(w)*int64(h) > maxPixels:
		return &SizeError{w, h, "more than is read"}
	}
	return nil
}

// piece is how much is read at a time, so that a size that is not true costs no
// more memory than there are bytes.
const piece = 4 << 20

// readRange reads n bytes at off.
func readRange(r io.ReaderAt, off, n int64) ([]byte, error) {
	var b []byte
	for n > 0 {
		k := int(min(n, piece))
		at := len(b)
		b = append(b, make([]byte, k)...)
		got, err := r.ReadAt(b[at:], off)
		switch {
		case got == k:
		case err == nil || ended(err):
			return nil, &TruncatedError{}
		default:
			return nil, err
		}
		off, n = off+int64(k), n-int64(k)
	}
	return b, nil
}
