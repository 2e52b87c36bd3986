package pix

import (
	"math"
	"sync"
)

// This file says of which samples of a line each sample of a shorter or longer
// line is made, and with what weights.

// axis is one direction of a plane: size samples become n, at the scale from:to.
// The two differ for chroma planes of odd pictures, which are rounded up.
type axis struct{ size, n, from, to int }

// taps are n neighbouring samples from first on for each sample of the result. Their
// weights add up to unity, so that a flat plane keeps its value exactly; n is
// even, and with wide a multiple of what one vector holds.
type taps struct {
	n      int
	first  []int32
	weight []int16
	same   bool // every sample is its own
}

const (
	unityBits = 14
	unity     = 1 << unityBits
)

func (t *taps) of(i int) []int16 { return t.weight[i*t.n:][:t.n] }

// filter is what a scale asks for. Fine filters are for luma, where sharpness is
// judged: a Lanczos filter up to half the size, where averaging over one to two
// samples would blur, and a cubic one for growing. Chroma is averaged, or
// interpolated straight.
type filter func(x float64) float64

func (a axis) filter(fine bool) (f filter, support float64) {
	scale := float64(a.from) / float64(a.to)
	switch {
	case fine && scale > 1 && scale < 2:
		return lanczosTable().at, 3 * scale
	case fine && scale < 1:
		return cubic, 2
	case scale < 1:
		return linear, 1
	}
	return nil, 0 // the mean of the area
}

// room is how many samples a weight of the result may stand on: a row may be shorter
// than its taps reach, so rows are kept with room behind them.
const room = 16

// weigh lays out the taps of an axis. With padded there is room behind the line, so
// that taps may reach past its end with weight 0; else they stay inside as far as
// the line is long enough.
func weigh(a axis, fine, padded bool) taps {
	f, support := a.filter(fine)
	scale := float64(a.from) / float64(a.to)
	n := int(math.Ceil(2*support)) + 1
	if f == nil {
		n = int(math.Ceil(scale)) + 1
		if a.from%a.to == 0 {
			n = a.from / a.to
		}
	}
	n = min(n, a.size)
	t := taps{n: n + n%2, first: make([]int32, a.n), same: a.from == a.to && a.n == a.size}
	if padded {
		t.n = padding(n)
	} else if t.n > a.size {
		t.n = a.size
	}
	t.weight = make([]int16, a.n*t.n)
	share := make([]float64, n)
	for i := range t.first {
		var first int
		if f == nil {
			first = area(share, float64(i)*scale, min(float64(i+1)*scale, float64(a.size)), a.size)
		} else {
			first = around(share, (float64(i)+0.5)*scale-0.5, max(scale, 1), f, a.size)
		}
		at := first
		if !padded {
			at = min(first, a.size-t.n)
		}
		t.first[i] = int32(at)
		whole(t.of(i)[first-at:], share)
	}
	return t
}

// padding is how many taps the code for rows takes for n.
func padding(n int) int {
	switch {
	case n <= 4:
		return 4
	case n <= 8:
		return 8
	}
	return (n + 15) / 16 * 16
}

// area fills in how much of each sample lies between two places and returns the
// first.
func area(share []float64, lo, hi float64, size int) int {
	lo = min(lo, hi-1e-3) // chroma may end before the picture does
	first := min(int(lo), size-len(share))
	for k := range share {
		share[k] = max(min(hi, float64(first+k+1))-max(lo, float64(first+k)), 0)
	}
	return first
}

// around fills in the filter's weights round a place. Samples beyond the ends are
// left out.
func around(share []float64, at, scale float64, f filter, size int) int {
	reach := float64(len(share)-1) / 2
	first := min(max(int(math.Ceil(at-reach)), 0), size-len(share))
	for k := range share {
		share[k] = f((float64(first+k) - at) / scale)
	}
	return first
}

// whole makes whole weights of shares. What rounding loses goes to the largest.
func whole(to []int16, share []float64) {
	sum, largest := 0.0, 0
	for k, v := range share {
		sum += v
		if v > share[largest] {
			largest = k
		}
	}
	left := unity
	for k, v := range share {
		w := int(math.Round(v / sum * unity))
		to[k] = int16(w)
		left -= w
	}
	to[largest] += int16(left)
}

// linear and cubic interpolate; the second is the convolution of Keys (1981) with
// a = -1/2, which keeps straight lines and edges.
func linear(x float64) float64 { return max(1-math.Abs(x), 0) }

func cubic(x float64) float64 {
	x = math.Abs(x)
	switch {
	case x < 1:
		return (1.5*x-2.5)*x*x + 1
	case x < 2:
		return ((-0.5*x+2.5)*x-4)*x + 2
	}
	return 0
}

// lanczos is a table of the windowed sinc of three lobes: what is between its entries
// lies so near to a straight line that no weight is changed by one.
type lanczos [3*lanczosSteps + 2]float64

const lanczosSteps = 256

// lanczosTable is a constant that takes some hundred sines to work out.
var lanczosTable = sync.OnceValue(func() *lanczos {
	var t lanczos
	t[0] = 1
	for i := 1; i < 3*lanczosSteps; i++ {
		x := math.Pi * float64(i) / lanczosSteps
		t[i] = 3 * math.Sin(x) * math.Sin(x/3) / (x * x)
	}
	return &t
})

func (t *lanczos) at(x float64) float64 {
	x = math.Abs(x) * lanczosSteps
	if x >= 3*lanczosSteps {
		return 0
	}
	i := int(x)
	return t[i] + (t[i+1]-t[i])*(x-float64(i))
}
