package jpeg

import (
	"bytes"
	stdjpeg "image/jpeg"
	"testing"
)

// FuzzEncode writes planes of any samples and reads them back: of the size and
// sampling that they were, and as near as rounding 64 coefficients to whole
// numbers allows where the steps are 1.
func FuzzEncode(f *testing.F) {
	f.Add([]byte("samples of a picture"), uint8(9), uint8(7), uint8(4), uint8(100))
	f.Add(bytes.Repeat([]byte{0, 255, 255}, 400), uint8(33), uint8(17), uint8(1), uint8(100))
	f.Add([]byte{255}, uint8(64), uint8(1), uint8(0), uint8(3))
	f.Fuzz(func(t *testing.T, src []byte, w, h, sampling, quality uint8) {
		s := samplings[int(sampling)%len(samplings)]
		m := &Image{}
		m.Reset(1+int(w)%70, 1+int(h)%70, max(s[0], 1), max(s[1], 1), s[0] == 0)
		at := 0
		for _, p := range [][]byte{m.Y, m.Cb, m.Cr} {
			for i := range p {
				p[i] = 0
				if len(src) > 0 {
					p[i] = src[at%len(src)]
				}
				at++
			}
		}
		limit := 255
		if quality >= 100 {
			limit = 5
		}
		b := encoded(t, m, int(quality))
		got, err := Decode(b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		closeTo(t, got, m, limit)
		if _, known := ratioOf(m.SubX, m.SubY); known {
			std, err := stdjpeg.Decode(bytes.NewReader(b))
			if err != nil {
				t.Fatal(err)
			}
			closeTo(t, planes(std), m, limit)
		}
	})
}
