package face

import (
	"math"
	"testing"
)

// The formula of Soukupová and Čech (CVWW 2016), worked by hand: an eye six wide and
// two high is open by 1/3, the same with its lids at ±0.1 by 1/30.
func TestOpening(t *testing.T) {
	eye := func(lid float64) [6]Point {
		return [6]Point{{0, 0}, {2, lid}, {4, lid}, {6, 0}, {4, -lid}, {2, -lid}}
	}
	for _, c := range []struct{ lid, want float64 }{{1, 1.0 / 3}, {0.1, 1.0 / 30}, {0, 0}} {
		e := eye(c.lid)
		if got := opening(e); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("lids at ±%v: %v, want %v", c.lid, got, c.want)
		}
		turn := square(1, Point{100, -30}, 7, 0.7) // neither place, size nor angle matter
		for i := range e {
			e[i] = turn.of(e[i])
		}
		if got := opening(e); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("lids at ±%v, turned: %v, want %v", c.lid, got, c.want)
		}
	}
	if got := opening([6]Point{1: {0, 1}}); got != 0 {
		t.Errorf("an eye without width is open by %v", got)
	}
}
