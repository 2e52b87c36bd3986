package station

import (
	"math"
	"testing"
	"time"
)

func TestPaceLeavesBreaksOut(t *testing.T) {
	var p pace
	at := time.Date(2026, 6, 13, 20, 0, 0, 0, time.UTC)
	if p.perMinute() != 0 {
		t.Error("a pace before anything was decided")
	}
	for range 10 { // one frame every two seconds
		p.decided(at, 1)
		at = at.Add(2 * time.Second)
	}
	if got := p.perMinute(); math.Abs(got-30) > 0.01 {
		t.Errorf("%.2f a minute, want 30", got)
	}
	// Ten minutes away from the desk count as the longest look, 30 s: 10 frames in
	// 18 + 30 s and a little.
	p.decided(at.Add(10*time.Minute), 1)
	if got := p.perMinute(); got < 10 || got > 15 {
		t.Errorf("%.2f a minute after a break, want about 12.5", got)
	}
}

func TestPaceCountsWhatIsTakenBack(t *testing.T) {
	var p pace
	at := time.Date(2026, 6, 13, 20, 0, 0, 0, time.UTC)
	for range 6 {
		p.decided(at, 1)
		at = at.Add(2 * time.Second)
		p.decided(at, -1)
		at = at.Add(2 * time.Second)
	}
	if got := p.perMinute(); got != 0 {
		t.Errorf("%.2f a minute by deciding and taking back, want 0", got)
	}
}

func TestProjected(t *testing.T) {
	for _, c := range []struct{ yes, no, open, want int }{
		{0, 0, 100, 0}, {10, 30, 60, 25}, {10, 0, 10, 20}, {0, 10, 50, 0}, {1, 2, 1, 1},
	} {
		if got := projected(c.yes, c.no, c.open); got != c.want {
			t.Errorf("%d yes, %d no, %d open: %d, want %d", c.yes, c.no, c.open, got, c.want)
		}
	}
}
