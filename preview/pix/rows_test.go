package pix

import (
	"bytes"
	"math/rand/v2"
	"testing"
)

// What runs here gives the bits of the plain code, for weights of either sign, sums
// that leave the range, all lengths and any place in memory.
func TestRowsEqualPlainCode(t *testing.T) {
	seed := rand.Uint64()
	random := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	weights := func(n int) []int16 {
		w := make([]int16, n)
		for i := range w {
			w[i] = int16(random.IntN(2*unity) - unity/2)
			if random.IntN(4) == 0 {
				w[i] = 0
			}
		}
		return w
	}
	src := make([]byte, 20000)
	for i := range src {
		src[i] = byte(random.Uint32())
		if i%7 == 0 {
			src[i] = 255
		}
	}
	for range 400 {
		n, taps := 1+random.IntN(300), 1+random.IntN(14)
		stride, from := n+random.IntN(20), random.IntN(9)
		w := weights(taps)
		got, want := make([]byte, n+8), make([]byte, n+8)
		mix(got[:n], src[from:], stride, w)
		mixGo(want[:n], src[from:], stride, w)
		if !bytes.Equal(got, want) {
			t.Fatalf("%d rows of %d samples: differ or wrote behind the end", taps, n)
		}
	}
	for range 400 {
		n := 1 + random.IntN(300)
		tt := taps{n: padding(1 + random.IntN(30)), first: make([]int32, n)}
		tt.weight = weights(n * tt.n)
		row := src[random.IntN(9):][:500]
		for i := range tt.first {
			tt.first[i] = int32(random.IntN(500 - 32))
		}
		got, want := make([]byte, n+8), make([]byte, n+8)
		narrow(got[:n], row, &tt)
		narrowGo(want[:n], row, &tt, 0)
		if !bytes.Equal(got, want) {
			t.Fatalf("%d samples of %d taps: differ or wrote behind the end", n, tt.n)
		}
	}
}

// The weights of all sizes and filters add up to one and stay inside the line.
func TestTaps(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 3))
	for range 3000 {
		size := 1 + random.IntN(400)
		n := 1 + random.IntN(400)
		a := axis{size, n, size, n}
		if random.IntN(2) == 0 { // chroma of odd pictures
			a.from, a.to = max(1, 2*size-1), max(1, 2*n-1)
		}
		for _, fine := range []bool{false, true} {
			for _, padded := range []bool{false, true} {
				got := weigh(a, fine, padded)
				for i := range a.n {
					sum := 0
					for k, w := range got.of(i) {
						sum += int(w)
						if at := int(got.first[i]) + k; w != 0 && at >= size || at >= size && !padded || at < 0 || at > size+room {
							t.Fatalf("%+v fine %v: tap %d of sample %d is %d", a, fine, k, i, at)
						}
					}
					if sum != unity {
						t.Fatalf("%+v fine %v: weights of sample %d add up to %d", a, fine, i, sum)
					}
				}
			}
		}
	}
}

// Squares of eight by eight, whichever way the steps go.
func TestSquaresEqualPlainCode(t *testing.T) {
	src := noise(100, 30, 1, 1, true, 6).Y
	for _, step := range []int{100, -100} {
		for _, down := range []int{40, -40} {
			for n := 1; n < 8; n++ {
				from, at := 5, 3
				if step < 0 {
					from += 7 * 100
				}
				if down < 0 {
					at += (8*n - 1) * 40
				}
				got, want := make([]byte, 40*64), make([]byte, 40*64)
				squares(got, at, down, src, from, step, n)
				squaresGo(want, at, down, src, from, step, n)
				if !bytes.Equal(got, want) {
					t.Fatalf("step %d, down %d, %d squares differ", step, down, n)
				}
				for y := range 8 {
					for x := range 8 * n {
						if want[at+x*down+y] != src[from+y*step+x] {
							t.Fatalf("step %d, down %d: sample %d,%d is at another place", step, down, x, y)
						}
					}
				}
			}
		}
	}
}
