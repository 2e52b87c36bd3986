package pix

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"golang.org/x/sys/cpu"
)

// The vector code itself, so that the test of what runs here cannot pass by the
// plain code alone.
func TestVectorRows(t *testing.T) {
	if !cpu.X86.HasAVX2 {
		t.Skip("needs a processor with AVX2")
	}
	random := rand.New(rand.NewPCG(1, 9))
	src := noise(400, 9, 1, 1, true, 4).Y
	for n := 32; n < 130; n++ {
		got, want := make([]byte, n), make([]byte, n)
		w := []int16{-1200, 5000, 9000, 4800, -1216, 0}
		mixAVX2(&got[0], &src[3], 400, &w[0], 3, n)
		mixGo(want, src[3:], 400, w)
		if !bytes.Equal(got, want) {
			t.Errorf("mix of %d differs", n)
		}
		for wide, f := range map[int]func(dst, src *byte, first *int32, weights *int16, n int){4: narrow4AVX2, 8: narrow8AVX2, 16: narrow16AVX2} {
			tt := taps{n: wide, first: make([]int32, n), weight: make([]int16, n*wide)}
			for i := range tt.first {
				tt.first[i] = int32(random.IntN(380))
			}
			for i := range tt.weight {
				tt.weight[i] = int16(random.IntN(1 << 15))
			}
			f(&got[0], &src[0], &tt.first[0], &tt.weight[0], n)
			narrowGo(want, src, &tt, 0)
			if !bytes.Equal(got, want) {
				t.Errorf("%d of %d taps differ", n, wide)
			}
		}
	}
}
