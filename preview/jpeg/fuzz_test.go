package jpeg

import (
	"bytes"
	"testing"
)

// FuzzDecode holds a decode of any bytes to what Decode promises: an Image or
// an error, planes as large as they say, the size of the headers, and the same
// answer twice.
func FuzzDecode(f *testing.F) {
	for _, name := range codings {
		src := corpus(f, name)
		f.Add(src, uint8(0))
		f.Add(src[:len(src)/2], uint8(2))
	}
	f.Add(coded(f, scene(24, 40), 70), uint8(3))
	f.Fuzz(func(t *testing.T, src []byte, scale uint8) {
		n := 1 << (scale % 4)
		info, cerr := Config(bytes.NewReader(src), 0, int64(len(src)))
		if cerr == nil && info.Width*info.Height > 1e5 {
			t.Skip("too large to be quick")
		}
		m, err := Decode(src, Options{Scale: n, MaxPixels: 1e6})
		if (m == nil) == (err == nil) {
			t.Fatalf("image %v, error %v", m != nil, err)
		}
		if err != nil {
			return
		}
		if cerr != nil {
			t.Fatalf("decoded, but Config says %v", cerr)
		}
		if !m.Valid() || m.Width != ceilDiv(info.Width, n) || m.Height != ceilDiv(info.Height, n) {
			t.Fatalf("%dx%d from %+v at 1/%d", m.Width, m.Height, info, n)
		}
		if m.Rows < 1 || m.Rows > m.Height || m.Rows < m.Height && !m.Truncated {
			t.Fatalf("rows %d of %d, truncated %v", m.Rows, m.Height, m.Truncated)
		}
		again, err := Decode(src, Options{Scale: n, MaxPixels: 1e6})
		if err != nil || again.Rows != m.Rows || !bytes.Equal(again.Y, m.Y) || !bytes.Equal(again.Cb, m.Cb) {
			t.Fatalf("a second decode differs: %v", err)
		}
	})
}
