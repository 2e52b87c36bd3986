package testday

import (
	"math"
	"math/rand/v2"
	"slices"

	"garner/cull"
)

// decide says what is done with a view.
func (a *act) decide(rng *rand.Rand, often float64, left int) {
	again := func(n int, least, most float64) {
		n = min(n, left)
		for range n - 1 {
			a.pauses = append(a.pauses, seconds(least+(most-least)*rng.Float64()))
		}
		if n > 1 {
			a.kind = cull.Burst
		}
	}
	what := rng.Float64()
	phone := a.body == Phone
	switch {
	case what < .007 && !phone && left > 7: // views side by side, the exposure held
		a.series, a.moving, a.shake = cull.Panorama, .002, .01
		a.step = .3 + .2*rng.Float64()
		again(4+rng.IntN(4), 1.1, 2.4)
	case what < .015 && !phone && left > 5: // an interior against its windows
		a.series, a.moving, a.flagged = cull.Bracket, .002, rng.Float64() < .8
		a.shake = .002
		n := []int{3, 3, 5}[rng.IntN(3)]
		a.bias = brackets(n, []float64{2. / 3, 1, 2}[rng.IntN(3)], rng.IntN(2) == 0)
		again(n, .15, .5)
	case what < .021 && !phone && left > 10: // rings
		a.series, a.moving, a.shake = cull.FocusStack, 0, .001
		a.lens, a.view.focal, a.flash = lens{macro, [2]float64{100, 100}}, 100, false
		again(5+rng.IntN(6), .3, 1.2)
	case what < .021+often && !phone:
		fps := []float64{6, 8, 10, 12}[rng.IntN(4)]
		again(3+int(rng.ExpFloat64()*4), .97/fps, 1.03/fps)
		a.moving *= .4
	case what < .6: // pressed again and again
		again(2+int(rng.ExpFloat64()*1.2), .35, 1.3)
		if !phone && len(a.pauses) > 0 && rng.Float64() < .05 { // somebody turning the dial
			for k := range len(a.pauses) + 1 {
				a.bias = append(a.bias, float64(k)/3)
			}
		}
	}
	if a.series != "" {
		a.kind = cull.Series
	}
}

// brackets are n biases, from the middle outwards or from the darkest up.
func brackets(n int, step float64, middleFirst bool) (out []float64) {
	for k := range n {
		out = append(out, step*float64(k-n/2))
	}
	if middleFirst {
		slices.SortFunc(out, func(a, b float64) int {
			if d := math.Abs(a) - math.Abs(b); math.Abs(d) > 1e-9 {
				return int(math.Copysign(1, d))
			}
			return int(math.Copysign(1, a-b))
		})
	}
	return out
}
