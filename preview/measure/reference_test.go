package measure_test

import (
	"math"
	"testing"
)

// The measures that everybody uses, to hold ours against.

// laplacianVariance is the variance of the picture behind [0 1 0; 1 -4 1; 0 1 0], with
// the outermost samples repeated (LAPV in Pertuz, Puig and Garcia, Analysis of focus
// measure operators, Pattern Recognition 46, 2013, there with another kernel).
func laplacianVariance(p grey) float64 {
	var sum, squares float64
	for y := range p.h {
		up, mid, low := p.row(y-1), p.row(y), p.row(y+1)
		for x, v := range mid {
			d := float64(mid[max(x-1, 0)] + mid[min(x+1, p.w-1)] + up[x] + low[x] - 4*v)
			sum, squares = sum+d, squares+d*d
		}
	}
	n := float64(len(p.v))
	return squares/n - sum/n*sum/n
}

// tenengrad is the mean energy of Sobel gradients.
func tenengrad(p grey) float64 {
	sum := 0.0
	for y := range p.h {
		up, mid, low := p.row(y-1), p.row(y), p.row(y+1)
		for x := range mid {
			l, r := max(x-1, 0), min(x+1, p.w-1)
			gx := up[r] + 2*mid[r] + low[r] - up[l] - 2*mid[l] - low[l]
			gy := low[l] + 2*low[x] + low[r] - up[l] - 2*up[x] - up[r]
			sum += float64(gx*gx + gy*gy)
		}
	}
	return sum / float64(len(p.v))
}

// Worked values of the reference measures, computed by hand: 7x7 zeros with a one in the
// middle, a step in 8x8.
func TestReferenceMeasures(t *testing.T) {
	one := newGrey(7, 7)
	one.v[3*7+3] = 1
	step := newGrey(8, 8)
	for i := range step.v {
		step.v[i] = float32(i % 8 / 4 * 30)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"variance of the Laplacian", laplacianVariance(one), 20. / 49},
		{"Tenengrad", tenengrad(one), 24. / 49},
		{"Tenengrad of a step of 30", tenengrad(step), 4 * 30 * 30},
	} {
		if math.Abs(c.got-c.want) > 1e-6*c.want {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
}
