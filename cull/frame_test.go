package cull

import (
	"testing"
	"time"
)

func TestCorrect(t *testing.T) {
	wall := func(hour, minute int) time.Time { return time.Date(2026, 6, 13, hour, minute, 0, 0, time.UTC) }
	zone := func(minutes int) *int { return &minutes }
	file := Stamp{Wall: wall(12, 0), Digits: 2, Zone: 60, ZoneIs: ZoneKnown}
	add := 7*time.Minute + 20*time.Second
	for _, tc := range []struct {
		name    string
		offsets []Offset
		in      Stamp
		want    time.Time
		zone    int
		zoneIs  ZoneState
	}{
		{"no offset", nil, file, wall(12, 0), 60, ZoneKnown},
		{"from the start", []Offset{{Add: add}}, file, wall(12, 0).Add(add), 60, ZoneKnown},
		{"back over midnight", []Offset{{Add: -13 * time.Hour}}, file, time.Date(2026, 6, 12, 23, 0, 0, 0, time.UTC), 60, ZoneKnown},
		{"not yet", []Offset{{From: wall(12, 1), Add: add}}, file, wall(12, 0), 60, ZoneKnown},
		{"from that very moment", []Offset{{From: wall(12, 0), Add: add}}, file, wall(12, 0).Add(add), 60, ZoneKnown},
		// The later offset replaces the earlier, it does not come on top.
		{"the latest that has begun", []Offset{{Add: time.Hour}, {From: wall(11, 0), Add: add}, {From: wall(13, 0), Add: time.Minute}}, file, wall(12, 0).Add(add), 60, ZoneKnown},
		// From is read on the body's own clock, before anything is added.
		{"from on the body's face", []Offset{{Add: 2 * time.Hour}, {From: wall(13, 0), Add: time.Minute}}, file, wall(14, 0), 60, ZoneKnown},
		{"zone by hand", []Offset{{Zone: zone(-210)}}, file, wall(12, 0), -210, ZoneSet},
		{"zone where the file has none", []Offset{{Zone: zone(0)}}, Stamp{Wall: wall(12, 0), ZoneIs: ZoneUnknown}, wall(12, 0), 0, ZoneSet},
	} {
		got := Body{Offsets: tc.offsets}.Correct(tc.in)
		if !got.Wall.Equal(tc.want) || got.Zone != tc.zone || got.ZoneIs != tc.zoneIs || got.Digits != tc.in.Digits {
			t.Errorf("%s: %+v, want %v, zone %d %s", tc.name, got, tc.want, tc.zone, tc.zoneIs)
		}
	}
	if got := (Body{Offsets: []Offset{{Add: add, Zone: zone(60)}}}).Correct(Stamp{}); got != (Stamp{}) || got.Known() {
		t.Errorf("an unknown time became %+v", got)
	}
}
