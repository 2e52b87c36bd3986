package cull

import (
	"testing"
	"time"
)

// The first row is the A7 IV dump of CHECKS 2c; the zone of the second is not
// in the file and is not guessed.
func TestStampText(t *testing.T) {
	wall := time.Date(2022, 10, 2, 17, 37, 26, 888e6, time.UTC)
	for _, tt := range []struct {
		s           Stamp
		local, zone string
	}{
		{Stamp{wall, 3, 480, ZoneKnown}, "2022-10-02T17:37:26.888", "+08:00"},
		{Stamp{wall, 0, 0, ZoneUnknown}, "2022-10-02T17:37:26", ""},
		{Stamp{wall, 1, -570, ZoneSet}, "2022-10-02T17:37:26.8", "-09:30"},
		{Stamp{time.Date(2022, 10, 2, 17, 37, 26, 70e6, time.UTC), 2, 0, ZoneKnown}, "2022-10-02T17:37:26.07", "+00:00"},
		{Stamp{}, "", ""},
		{Stamp{Zone: 60, ZoneIs: ZoneKnown}, "", ""},
	} {
		if local, zone := tt.s.Text(); local != tt.local || zone != tt.zone {
			t.Errorf("%+v: %q %q", tt.s, local, zone)
		}
	}
}
