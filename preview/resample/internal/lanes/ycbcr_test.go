package lanes

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"
)

func randomBytes(r *rand.Rand, n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(r.Uint32() >> (r.Uint32() % 8)) // ends and middle
	}
	return b
}

// The matrix of JFIF 1.02, p. 4, in float64, for every pair of chroma: within what
// sixteen bits of its factors leave.
func TestRGBAgainstJFIF(t *testing.T) {
	luma, cb, cr := make([]byte, 1<<16), make([]byte, 1<<16), make([]byte, 1<<16)
	got, plain := make([]byte, 3<<16), make([]byte, 3<<16)
	for _, y := range []byte{0, 77, 128, 255} {
		for i := range luma {
			luma[i], cb[i], cr[i] = y, byte(i), byte(i>>8)
		}
		RGB(got, luma, cb, cr)
		rgbGo(plain, luma, cb, cr)
		if !bytes.Equal(got, plain) {
			t.Fatalf("luma %d: not what plain Go gives", y)
		}
		for i := range luma {
			b, r := float64(cb[i])-128, float64(cr[i])-128
			for c, v := range [3]float64{float64(y) + 1.402*r, float64(y) - 0.34414*b - 0.71414*r, float64(y) + 1.772*b} {
				if d := math.Abs(float64(got[3*i+c]) - min(max(v, 0), 255)); d > 0.502 {
					t.Fatalf("%d, %d, %d: channel %d is %d, not %g", y, cb[i], cr[i], c, got[3*i+c], v)
				}
			}
		}
	}
}

// Interpolated chroma lies where the triangle puts it, for rows of any length.
func TestWidenAgainstTriangle(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	for n := 1; n < 100; n++ {
		near, far := randomBytes(r, n), randomBytes(r, n)
		one, two := make([]byte, 2*n), make([]byte, 2*n)
		Widen(one, near)
		WidenBetween(two, near, far)
		at := func(row []byte, i int) float64 { return float64(row[min(max(i, 0), n-1)]) }
		for i := range one {
			other := i/2 - 1 + i%2*2
			w := 0.75*at(near, i/2) + 0.25*at(near, other)
			if math.Abs(float64(one[i])-w) > 0.5 {
				t.Fatalf("%d samples: %d is %d, not %g", n, i, one[i], w)
			}
			w = 0.75*w + 0.25*(0.75*at(far, i/2)+0.25*at(far, other))
			if math.Abs(float64(two[i])-w) > 0.5 {
				t.Fatalf("%d samples between rows: %d is %d, not %g", n, i, two[i], w)
			}
		}
	}
}
