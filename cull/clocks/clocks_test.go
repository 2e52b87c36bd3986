package clocks

import (
	"testing"
	"time"
)

func TestParseAdd(t *testing.T) {
	for in, want := range map[string]time.Duration{
		"B=-7m20s": -440 * time.Second, "B=-440": -440 * time.Second, "A=+1h": time.Hour, "C=0": 0, "B=1.5": 1500 * time.Millisecond,
	} {
		if s, err := ParseAdd(in); err != nil || s.Add == nil || *s.Add != want || s.Body != in[:1] {
			t.Errorf("%s: %+v %v", in, s, err)
		}
	}
	if s, err := ParseAdd("B=none"); err != nil || !s.Drop {
		t.Errorf("none: %+v %v", s, err)
	}
	for _, in := range []string{"", "B", "=5", "B=", "B=soon", "B=NaN", "B=1e300"} {
		if s, err := ParseAdd(in); err == nil {
			t.Errorf("%q gave %+v", in, s)
		}
	}
}

func TestParseZone(t *testing.T) {
	for in, want := range map[string]int{"B=+02:00": 120, "B=-09:30": -570, "B=+00:00": 0} {
		if s, err := ParseZone(in); err != nil || s.Zone == nil || *s.Zone != want {
			t.Errorf("%s: %+v %v", in, s, err)
		}
	}
	for _, in := range []string{"B", "B=2", "B=+2:00", "B=+02:61", "=+02:00"} {
		if s, err := ParseZone(in); err == nil {
			t.Errorf("%q gave %+v", in, s)
		}
	}
}
