package jpeg

import "image"

// Image is a picture as planes of 8-bit samples, luma apart from chroma, in
// the full-range YCbCr of JFIF (BT.601 matrix, 0..255). Rows run from the top
// as they were stored: nothing has been turned.
type Image struct {
	Width, Height    int
	Y, Cb, Cr        []byte // Cb and Cr are nil in a grey picture
	YStride, CStride int    // samples from one row to the next
	SubX, SubY       int    // luma samples for one chroma sample: 1, 2 or 4; 1 when grey

	Origin image.Point // where its first sample lies in the whole picture, in samples at its scale; zero unless it was cropped

	Truncated bool // the data ended or broke before the last row
	Rows      int  // rows from the top with real data; below them it is mid-grey
}

// Grey reports whether the picture has no chroma planes.
func (m *Image) Grey() bool { return m.Cb == nil }

// ChromaSize returns the size of either chroma plane, in samples.
func (m *Image) ChromaSize() (w, h int) {
	if m.Grey() {
		return 0, 0
	}
	return ceilDiv(m.Width, m.SubX), ceilDiv(m.Height, m.SubY)
}

// Reset gives m a size and planes of that size, keeping the planes it has if
// they are large enough. The samples are not cleared. With grey the chroma
// planes are dropped and subX and subY ignored.
func (m *Image) Reset(width, height, subX, subY int, grey bool) {
	m.Width, m.Height, m.Rows, m.Truncated, m.Origin = width, height, height, false, image.Point{}
	m.YStride = width
	m.Y = grow(m.Y, width*height)
	if grey {
		m.Cb, m.Cr, m.CStride, m.SubX, m.SubY = nil, nil, 0, 1, 1
		return
	}
	m.SubX, m.SubY = subX, subY
	m.CStride = ceilDiv(width, subX)
	n := m.CStride * ceilDiv(height, subY)
	m.Cb, m.Cr = grow(m.Cb, n), grow(m.Cr, n)
	if m.Cb == nil { // an empty picture is not a grey one
		m.Cb, m.Cr = []byte{}, []byte{}
	}
}

// Valid reports whether every sample that the sizes promise lies inside the
// planes. Code that indexes planes may rely on it.
func (m *Image) Valid() bool {
	if m == nil || m.Width <= 0 || m.Height <= 0 || !holds(m.Y, m.Width, m.Height, m.YStride) {
		return false
	}
	if m.Grey() {
		return m.Cr == nil
	}
	if m.SubX < 1 || m.SubY < 1 || m.SubX > 4 || m.SubY > 4 {
		return false
	}
	w, h := m.ChromaSize()
	return holds(m.Cb, w, h, m.CStride) && holds(m.Cr, w, h, m.CStride)
}

func holds(plane []byte, w, h, stride int) bool {
	return stride >= w && len(plane) >= (h-1)*stride+w
}

// Std returns the picture as one of the standard library's images, sharing the
// planes. A subsampling that the library has no name for, as a turned 4:1:1
// picture has, gets new chroma planes at full size.
func (m *Image) Std() image.Image {
	r := image.Rect(0, 0, m.Width, m.Height)
	if m.Grey() {
		return &image.Gray{Pix: m.Y, Stride: m.YStride, Rect: r}
	}
	ratio, ok := ratioOf(m.SubX, m.SubY)
	if !ok {
		full := image.NewYCbCr(r, image.YCbCrSubsampleRatio444)
		for y := range m.Height {
			for x := range m.Width {
				at, c := y*full.YStride+x, y/m.SubY*m.CStride+x/m.SubX
				full.Y[at], full.Cb[at], full.Cr[at] = m.Y[y*m.YStride+x], m.Cb[c], m.Cr[c]
			}
		}
		return full
	}
	return &image.YCbCr{Y: m.Y, Cb: m.Cb, Cr: m.Cr, YStride: m.YStride, CStride: m.CStride, SubsampleRatio: ratio, Rect: r}
}

func ratioOf(x, y int) (image.YCbCrSubsampleRatio, bool) {
	switch [2]int{x, y} {
	case [2]int{1, 1}:
		return image.YCbCrSubsampleRatio444, true
	case [2]int{2, 1}:
		return image.YCbCrSubsampleRatio422, true
	case [2]int{2, 2}:
		return image.YCbCrSubsampleRatio420, true
	case [2]int{1, 2}:
		return image.YCbCrSubsampleRatio440, true
	case [2]int{4, 1}:
		return image.YCbCrSubsampleRatio411, true
	case [2]int{4, 2}:
		return image.YCbCrSubsampleRatio410, true
	}
	return 0, false
}

func subsampling(r image.YCbCrSubsampleRatio) (x, y int) {
	switch r {
	case image.YCbCrSubsampleRatio422:
		return 2, 1
	case image.YCbCrSubsampleRatio420:
		return 2, 2
	case image.YCbCrSubsampleRatio440:
		return 1, 2
	case image.YCbCrSubsampleRatio411:
		return 4, 1
	case image.YCbCrSubsampleRatio410:
		return 4, 2
	}
	return 1, 1
}

func grow(b []byte, n int) []byte {
	if cap(b) >= n {
		return b[:n]
	}
	return make([]byte, n)
}

func ceilDiv(a, b int) int { return (a + b - 1) / b }
