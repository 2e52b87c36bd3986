package group

import (
	"math"
	"testing"
)

// TestEV holds EV = log2(N²/t) against the nominal rows of the APEX scale
// (Exif annex C; whole stops, 0.1 EV for the rounding of the engraved numbers)
// and against values computed from the definition (1e-4).
func TestEV(t *testing.T) {
	near := func(what string, got, want, tolerance float64) {
		t.Helper()
		if math.IsNaN(got) || math.Abs(got-want) > tolerance {
			t.Errorf("%s: %.4f, want %.4f ± %g", what, got, want, tolerance)
		}
	}
	computedAv := []float64{0, .9709, 2, 2.9709, 4, 4.9709, 6, 6.9189, 8, 8.9189, 10}
	for av, n := range []float64{1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32} {
		near("nominal Av", EV(n, 1), float64(av), 0.1)
		near("computed Av", EV(n, 1), computedAv[av], 1e-4)
	}
	computedTv := []float64{0, 1, 2, 3, 3.9069, 4.9069, 5.9069, 6.9658, 7.9658, 8.9658, 9.9658}
	for tv, d := range []float64{1, 2, 4, 8, 15, 30, 60, 125, 250, 500, 1000} {
		near("nominal Tv", EV(1, 1/d), float64(tv), 0.1)
		near("computed Tv", EV(1, 1/d), computedTv[tv], 1e-4)
	}
	for stop, iso := range []int{100, 200, 400, 800, 1600, 3200, 6400} {
		ev, ok := EV100(1, 1, iso)
		if !ok {
			t.Errorf("ISO %d unknown", iso)
		}
		near("Sv", -ev, float64(stop), 1e-4)
	}
	near("f/1, 1 s", EV(1, 1), 0, 0)
	near("f/16, 1/125 s", EV(16, 1./125), 14.966, 1e-3)
	near("f/16, 1/100 s", EV(16, 1./100), 14.64, 5e-3)
	for _, same := range [][2]float64{{8, 125}, {5.6, 250}, {4, 500}} {
		near("reciprocity", EV(same[0], 1/same[1]), 13, 0.1)
	}
	ev, _ := EV100(2.8, 1./200, 3200)
	near("f/2.8 1/200 ISO 3200", ev, 5.61, 5e-3)
	ev, _ = EV100(1.4, 1./60, 6400)
	near("f/1.4 1/60 ISO 6400", ev, 0.88, 5e-3)
}

func TestEV100Unknown(t *testing.T) {
	for _, bad := range [][3]float64{{0, 1, 100}, {8, 0, 100}, {8, 1, 0}, {-8, 1, 100}, {8, -1, 100}, {8, 1, -1}, {math.NaN(), 1, 100}, {8, math.NaN(), 100}, {math.Inf(1), 1, 100}, {8, math.Inf(1), 100}, {1e-200, 1, 100}, {1e9, 1e-300, 100}} {
		if ev, ok := EV100(bad[0], bad[1], int(bad[2])); ok || ev != 0 {
			t.Errorf("%v: %v, %v", bad, ev, ok)
		}
	}
}
