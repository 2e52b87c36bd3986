package finished

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/jpeg"
)

// What runs here gives the bits of plain Go, at every length, and writes nothing behind
// its end.
func TestChromaPathsAreEqual(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	bytes := func(n int) []byte {
		b := make([]byte, n)
		for i := range b {
			b[i] = []byte{0, 255, byte(r.Uint32()), byte(r.Uint32())}[r.IntN(4)]
		}
		return b
	}
	m := &jpeg.Image{}
	m.Reset(8, 8, 2, 2, false)
	k := newChroma(m).k
	for n := 1; n < 70; n++ {
		a, b := bytes(n), bytes(n)
		near, far := int32(1+r.IntN(8)), int32(r.IntN(4))
		got, want := make([]int32, n+9), make([]int32, n+9)
		blend(got[:n], a, b, near, far)
		if blendGo(want[:n], a, b, near, far); !slices.Equal(got, want) {
			t.Fatalf("%d blended: %v, want %v", n, got, want)
		}
		line := make([]int32, n+2)
		for i := range line {
			line[i] = int32(r.IntN(4 * 256))
		}
		got, want = make([]int32, 2*n+9), make([]int32, 2*n+9)
		double(got[:2*n], line)
		if doubleGo(want[:2*n], line); !slices.Equal(got, want) {
			t.Fatalf("%d doubled: %v, want %v", n, got, want)
		}
		cb, cr := make([]int32, n), make([]int32, n)
		for i := range cb {
			cb[i], cr[i] = int32(bytes(1)[0])*16, int32(bytes(1)[0])*16
		}
		row, reference := make([]uint16, 3*n+9), make([]uint16, 3*n+9)
		colour(row[:3*n], a, cb, cr, &k)
		if colourGo(reference[:3*n], a, cb, cr, &k); !slices.Equal(row, reference) {
			t.Fatalf("%d coloured: %v, want %v", n, row, reference)
		}
	}
}

// JFIF 1.02's equations, for every luma with the corners and some of the middle of
// chroma, in every subsampling there is: the nearest of 65536 values, or one beside it.
func TestChromaIsJFIFs(t *testing.T) {
	for _, sub := range [][2]int{{1, 1}, {2, 1}, {1, 2}, {2, 2}, {4, 1}, {4, 2}, {1, 4}} {
		for _, cb := range []byte{0, 1, 77, 127, 128, 129, 200, 255} {
			for _, cr := range []byte{0, 3, 90, 128, 211, 255} {
				m := &jpeg.Image{}
				m.Reset(256, 4, sub[0], sub[1], false)
				for i := range m.Y {
					m.Y[i] = byte(i)
				}
				for i := range m.Cb {
					m.Cb[i], m.Cr[i] = cb, cr
				}
				row := make([]uint16, 3*256)
				newChroma(m).row(row, m, 2)
				b, r := float64(cb)-128, float64(cr)-128
				for y := range 256 {
					for i, v := range []float64{float64(y) + 1.402*r, float64(y) - 0.344136286*b - 0.714136286*r, float64(y) + 1.772*b} {
						if v = min(max(v*257, 0), 65535); math.Abs(v-float64(row[3*y+i])) > 1 {
							t.Fatalf("%v: Y %d Cb %d Cr %d, channel %d: %d, want %.2f", sub, y, cb, cr, i, row[3*y+i], v)
						}
					}
				}
			}
		}
	}
}
