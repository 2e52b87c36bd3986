package resample

import (
	"math"

	"garner/preview/resample/internal/lanes"
)

// This file says of which samples of a line each sample of a shorter or longer line
// is made, and with what weights.

// lobes is how many of the sinc's lobes are on either side.
const lobes = 3

// Lanczos is the kernel: sinc(x) sinc(x/3) between -3 and 3, 0 elsewhere.
func Lanczos(x float64) float64 {
	x = math.Abs(x)
	switch {
	case x == 0:
		return 1
	case x >= lobes:
		return 0
	}
	x *= math.Pi
	return lobes * math.Sin(x) * math.Sin(x/lobes) / (x * x)
}

// taps are those of a line. Of each sample's, the first count are used; there may be
// one more, of weight 0, to make their number even.
type taps struct {
	lanes.Taps
	count int
}

// weigh lays out the taps that make n samples of size. The samples of both lines
// lie in the middle of equal shares of the line.
func weigh(size, n int) taps {
	if size == n {
		t := newTaps(n, 1)
		for i := range n {
			t.First[i], t.Weight[i*t.N] = int32(i), 1
		}
		return t
	}
	scale := float64(size) / float64(n)
	stretch := max(scale, 1)
	reach := lobes * stretch
	count := min(int(math.Ceil(2*reach)), size)
	t := newTaps(n, count)
	share := make([]float64, count)
	for i := range n {
		clear(share)
		centre := (float64(i)+0.5)*scale - 0.5
		from, to := int(math.Ceil(centre-reach)), int(math.Floor(centre+reach))
		first, sum := min(max(from, 0), size-count), 0.0
		for k := from; k <= to; k++ {
			w := Lanczos((float64(k) - centre) / stretch)
			sum += w
			// What lies beyond an edge is the sample at the edge.
			if at := min(max(k, 0), size-1) - first; at < count {
				share[at] += w
			} else {
				sum -= w // as far away as the kernel reaches: 0
			}
		}
		t.First[i] = int32(first)
		whole(t.Weight[i*t.N:], share, sum)
	}
	return t
}

func newTaps(n, count int) taps {
	even := count + count%2
	return taps{lanes.Taps{N: even, First: make([]int32, n), Weight: make([]float32, n*even)}, count}
}

// whole makes shares add up to one. Rounding to float32 leaves half of a last bit.
func whole(to []float32, share []float64, sum float64) {
	for k, v := range share {
		to[k] = float32(v / sum)
	}
}
