package jpeg

import (
	"bytes"
	"testing"
)

// The quality scale of the Independent JPEG Group on the first entry of the
// luma table of T.81 Annex K.1 (16): 5000/q below 50, else 200-2q per cent.
func TestEncodeQuality(t *testing.T) {
	m := planes(scene(32, 32))
	for q, want := range map[int]byte{1: 255, 10: 80, 25: 32, 50: 16, 75: 8, 85: 5, 90: 3, 92: 3, 95: 2, 100: 1} {
		var b bytes.Buffer
		if err := Encode(&b, m, q); err != nil {
			t.Fatal(err)
		}
		at := bytes.Index(b.Bytes(), []byte{0xFF, 0xDB})
		if got := b.Bytes()[at+5]; got != want {
			t.Errorf("quality %d: %d, want %d", q, got, want)
		}
	}
}

func TestEncodeDecode(t *testing.T) {
	for _, name := range codings {
		m, err := Decode(corpus(t, name), Options{})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := Encode(&b, m, 95); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		got, err := Decode(b.Bytes(), Options{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got.Width != m.Width || got.Height != m.Height || got.Grey() != m.Grey() {
			t.Fatalf("%s: came back as %dx%d", name, got.Width, got.Height)
		}
		sum := 0
		for y := range m.Height {
			for x := range m.Width {
				d := int(m.Y[y*m.YStride+x]) - int(got.Y[y*got.YStride+x])
				sum += d * d
			}
		}
		if mse := float64(sum) / float64(m.Width*m.Height); mse > 9 {
			t.Errorf("%s: mean squared error %.1f in luma", name, mse)
		}
	}
}

func TestEncodeRefuses(t *testing.T) {
	for name, m := range map[string]*Image{
		"empty":       {},
		"nil":         nil,
		"short plane": {Width: 10, Height: 10, YStride: 10, Y: make([]byte, 99), SubX: 1, SubY: 1},
		"no Cr":       {Width: 2, Height: 2, YStride: 2, Y: make([]byte, 4), Cb: make([]byte, 4), CStride: 2, SubX: 1, SubY: 1},
	} {
		var b bytes.Buffer
		if err := Encode(&b, m, 80); err == nil || b.Len() != 0 {
			t.Errorf("%s: %d bytes, error %v", name, b.Len(), err)
		}
	}
}
