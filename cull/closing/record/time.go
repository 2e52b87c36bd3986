package record

import (
	"fmt"
	"strings"
	"time"

	"garner/cull"
)

func timeOf(s cull.Stamp) Time {
	t := Time{ZoneIs: string(cull.ZoneUnknown)}
	local, zone := s.Text()
	if local != "" {
		t.Local = &local
	}
	if zone != "" {
		t.Zone, t.ZoneIs = &zone, string(s.ZoneIs)
	}
	return t
}

// Stamp is the time as package cull has it. What is no time is unknown.
func (t Time) Stamp() cull.Stamp {
	s := cull.Stamp{ZoneIs: cull.ZoneUnknown}
	if t.Local == nil {
		return s
	}
	wall, err := time.Parse("2006-01-02T15:04:05.999999999", *t.Local)
	if err != nil {
		return s
	}
	s.Wall = wall
	if _, fraction, ok := strings.Cut(*t.Local, "."); ok {
		s.Digits = len(fraction)
	}
	if t.Zone == nil {
		return s
	}
	if minutes, err := zoneMinutes(*t.Zone); err == nil {
		s.Zone, s.ZoneIs = minutes, cull.ZoneKnown
		if t.ZoneIs == string(cull.ZoneSet) {
			s.ZoneIs = cull.ZoneSet
		}
	}
	return s
}

func zoneMinutes(s string) (int, error) {
	var sign rune
	var h, m int
	if _, err := fmt.Sscanf(s, "%c%02d:%02d", &sign, &h, &m); err != nil || sign != '+' && sign != '-' || h > 14 || m > 59 {
		return 0, fmt.Errorf("%q is no time zone", s)
	}
	if sign == '-' {
		return -(60*h + m), nil
	}
	return 60*h + m, nil
}

// clock writes a moment in UTC.
func clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339Nano)
}

// Moment reads what clock wrote; what is none is the zero time.
func Moment(s string) time.Time {
	t, err := time.Parse(time.RFC3339Nano, s)
	if err != nil {
		return time.Time{}
	}
	return t.UTC()
}
