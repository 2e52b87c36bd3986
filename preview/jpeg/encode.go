package jpeg

import (
	"image/jpeg"
	"io"
)

// Encode writes m as a baseline JPEG with 4:2:0 chroma, or grey. The quality
// runs from 1 to 100 on the scale of the Independent JPEG Group.
func Encode(w io.Writer, m *Image, quality int) error {
	if !m.Valid() || m.Width > 65535 || m.Height > 65535 {
		return FormatError("a picture of no or too many pixels cannot be written")
	}
	return jpeg.Encode(w, m.Std(), &jpeg.Options{Quality: quality})
}
