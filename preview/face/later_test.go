package face

import (
	"testing"
)

// TestLater is TestAgainstTheCount with photographs by which nothing was chosen.
func TestLater(t *testing.T) {
	a := &tally{said: map[[2]string]int{}, lowest: 1}
	r := New()
	for _, c := range counts(t, "later.txt") {
		a.photograph(t, r, c)
	}
	t.Logf("faces found: %d of %d; false alarms: %d, of them Unlikely: %d\n%s", a.hit, a.must, a.alarms, a.weak, a.list.String())
	if a.must != 5 || a.hit < 5 {
		t.Errorf("%d of %d faces were found, want 5", a.hit, a.must)
	}
	if a.alarms > a.weak {
		t.Errorf("%d false alarms that the mesh takes for faces", a.alarms-a.weak)
	}
	for _, said := range []string{"check", "closed"} {
		if n := a.said[[2]string{"open", said}]; n > 0 {
			t.Errorf("of %d pairs of open eyes is said: %s", n, said)
		}
	}
}
