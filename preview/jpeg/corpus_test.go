package jpeg

import (
	"bytes"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// corpus reads one of the pictures that come with the Go distribution
// (image/testdata): one video frame in every coding.
func corpus(t testing.TB, name string) []byte {
	t.Helper()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Skip("needs the go command: " + err.Error())
	}
	b, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "src", "image", "testdata", name))
	if err != nil {
		t.Skip("needs the sources of the Go distribution: " + err.Error())
	}
	return b
}

var codings = []string{
	"video-001.jpeg",
	"video-001.q50.410.jpeg", "video-001.q50.411.jpeg", "video-001.q50.420.jpeg",
	"video-001.q50.422.jpeg", "video-001.q50.440.jpeg", "video-001.q50.444.jpeg",
	"video-001.q50.420.progressive.jpeg", "video-001.q50.444.progressive.jpeg",
	"video-001.progressive.jpeg", "video-001.progressive.truncated.jpeg",
	"video-001.separate.dc.progression.jpeg", "video-001.separate.dc.progression.progressive.jpeg",
	"video-001.restart2.jpeg", "video-001.cmyk.jpeg", "video-001.rgb.jpeg",
	"video-005.gray.jpeg", "video-005.gray.q50.jpeg",
}

// scene is a picture with detail everywhere, so that no two of its rows agree.
func scene(w, h int) *image.YCbCr {
	m := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	seed := uint32(1)
	for y := range h {
		for x := range w {
			seed = seed*1664525 + 1013904223
			m.Y[m.YOffset(x, y)] = uint8(x*3+y*5) + uint8(seed>>28)
			m.Cb[m.COffset(x, y)] = uint8(x * 255 / w)
			m.Cr[m.COffset(x, y)] = uint8(y * 255 / h)
		}
	}
	return m
}

func coded(t testing.TB, m image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func decoded(t testing.TB, src []byte) image.Image {
	t.Helper()
	m, err := stdjpeg.Decode(bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// rgbAt reads one pixel of an Image by the formulas of JFIF 1.02, page 3, as
// the standard library has them.
func rgbAt(m *Image, x, y int) (r, g, b uint8) {
	if m.Grey() {
		v := m.Y[y*m.YStride+x]
		return v, v, v
	}
	c := (y/m.SubY)*m.CStride + x/m.SubX
	return color.YCbCrToRGB(m.Y[y*m.YStride+x], m.Cb[c], m.Cr[c])
}
