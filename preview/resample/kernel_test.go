package resample

import (
	"math"
	"testing"
)

// The kernel by its definition, sinc(x) sinc(x/3): 1 and 0 at whole numbers, and at
// 1/2 for example 12/pi^2 sin(pi/6) = 6/pi^2.
func TestKernelValues(t *testing.T) {
	for _, c := range []struct{ x, want float64 }{
		{0, 1}, {0.25, 0.890067}, {0.5, 0.607927}, {1, 0}, {1.5, -0.135095}, {2, 0}, {2.5, 0.024317}, {3, 0}, {3.5, 0}, {1e9, 0},
	} {
		for _, x := range []float64{c.x, -c.x} {
			if got := Lanczos(x); math.Abs(got-c.want) > 6e-7 {
				t.Errorf("L(%g) = %.7f, not %.6f", x, got, c.want)
			}
		}
	}
}

// The taps of every sample add up to one, lie inside of the line, and are the same
// from either end.
func TestTaps(t *testing.T) {
	for _, c := range [][2]int{{6000, 2048}, {4000, 1365}, {2, 1}, {1, 1}, {1, 7}, {3, 2}, {7, 100}, {100, 99}, {99, 100}, {5, 5}, {30000, 1}, {17, 3}, {30000, 2048}} {
		size, n := c[0], c[1]
		w := weigh(size, n)
		for i := range n {
			sum := 0.0
			for k := range w.N {
				v := float64(w.Weight[i*w.N+k])
				sum += v
				if k >= w.count && v != 0 {
					t.Errorf("%d to %d: tap %d of sample %d counts", size, n, k, i)
				}
				if k < w.count {
					mirror := float64(w.Weight[(n-1-i)*w.N+w.count-1-k])
					at, from := int(w.First[i])+k, size-1-int(w.First[n-1-i])-(w.count-1)+k
					// Windows of an odd rest may lie one apart; their weights do not.
					if at == from && math.Abs(v-mirror) > 1e-6 {
						t.Errorf("%d to %d: sample %d, tap %d: %g, from the other end %g", size, n, i, k, v, mirror)
					}
				}
			}
			if math.Abs(sum-1) > 6e-8 { // half of the last bit above 1
				t.Errorf("%d to %d: weights of sample %d add up to %.9f", size, n, i, sum)
			}
			if w.First[i] < 0 || int(w.First[i])+w.count > size {
				t.Errorf("%d to %d: sample %d is made of %d taps from %d on", size, n, i, w.count, w.First[i])
			}
		}
	}
}
