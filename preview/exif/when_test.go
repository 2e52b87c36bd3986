package exif_test

import (
	"testing"
	"time"

	"garner/preview/exif"
)

// The form of the stamp is that of Exif's tag 306; sub-second digits are the
// decimal fraction, left-aligned (XMP Part 3 §3.2.3.3), examples 130 with and
// without blanks from the Exif text. The rows named after bodies are values of
// real files.
func TestParseTime(t *testing.T) {
	const stamp = "2022:10:02 17:37:26"
	at := func(ms float64) time.Time {
		return time.Date(2022, 10, 2, 17, 37, 26, int(ms*1e6+0.5), time.UTC)
	}
	for _, c := range []struct {
		name, stamp, sub, zone string
		want                   exif.Time
	}{
		{"plain", stamp, "", "", exif.Time{Wall: at(0)}},
		{"Exif example 1", stamp, "130", "", exif.Time{Wall: at(130), Digits: 3}},
		{"Exif example 2", stamp, "130 ", "", exif.Time{Wall: at(130), Digits: 3}},
		{"Exif example 3", stamp, "130     ", "", exif.Time{Wall: at(130), Digits: 3}},
		{"Exif example 4: unknown", stamp, "        ", "", exif.Time{Wall: at(0)}},
		{"one digit", stamp, "7", "", exif.Time{Wall: at(700), Digits: 1}},
		{"trailing zero", stamp, "70", "", exif.Time{Wall: at(700), Digits: 2}},
		{"leading zero", stamp, "07", "", exif.Time{Wall: at(70), Digits: 2}},
		{"not milliseconds", stamp, "700", "", exif.Time{Wall: at(700), Digits: 3}},
		{"Canon 70D", stamp, "98", "", exif.Time{Wall: at(980), Digits: 2}},
		{"Canon 7D", stamp, "18", "", exif.Time{Wall: at(180), Digits: 2}},
		{"Nikon D810", stamp, "66", "", exif.Time{Wall: at(660), Digits: 2}},
		{"Panasonic GF7", stamp, "530", "", exif.Time{Wall: at(530), Digits: 3}},
		{"microseconds", stamp, "130001", "", exif.Time{Wall: at(130.001), Digits: 6}},
		{"more than nanoseconds", stamp, "1234567891234", "", exif.Time{Wall: at(0).Add(123456789), Digits: 9}},
		{"no digits", stamp, "x1", "", exif.Time{Wall: at(0)}},
		{"east", stamp, "888", "+08:00", exif.Time{Wall: at(888), Digits: 3, Zone: 480, HasZone: true}},
		{"west", stamp, "", "-05:00", exif.Time{Wall: at(0), Zone: -300, HasZone: true}},
		{"half hours", stamp, "", "-03:30", exif.Time{Wall: at(0), Zone: -210, HasZone: true}},
		{"quarter hours", stamp, "", "+05:45", exif.Time{Wall: at(0), Zone: 345, HasZone: true}},
		{"Greenwich is a zone", stamp, "", "+00:00", exif.Time{Wall: at(0), HasZone: true}},
		{"Z", stamp, "", "Z", exif.Time{Wall: at(0), HasZone: true}},
		{"blank zone", stamp, "", "   :  ", exif.Time{Wall: at(0)}},
		{"no such zone", stamp, "", "+15:00", exif.Time{Wall: at(0)}},
		{"no such minutes", stamp, "", "+01:75", exif.Time{Wall: at(0)}},
		{"letters", stamp, "", "+ab:cd", exif.Time{Wall: at(0)}},
		{"zeros, as an OM-1 wrote", "0000:00:00 00:00:00", "", "-05:00", exif.Time{}},
		{"blanks but colons", "    :  :     :  :  ", "", "", exif.Time{}},
		{"all blanks", "                   ", "", "", exif.Time{}},
		{"empty", "", "12", "+01:00", exif.Time{}},
		{"no 13th month", "2022:13:02 17:37:26", "", "", exif.Time{}},
		{"no month 0", "2022:00:02 17:37:26", "", "", exif.Time{}},
		{"no 30 February", "2022:02:30 17:37:26", "", "", exif.Time{}},
		{"no 29 February in 2023", "2023:02:29 17:37:26", "", "", exif.Time{}},
		{"29 February in 2024", "2024:02:29 00:00:00", "", "", exif.Time{Wall: time.Date(2024, 2, 29, 0, 0, 0, 0, time.UTC)}},
		{"hour 24", "2022:10:02 24:00:00", "", "", exif.Time{}},
		{"minute 60", "2022:10:02 17:60:00", "", "", exif.Time{}},
		{"second 60", "2022:10:02 17:37:60", "", "", exif.Time{}},
		{"year 0", "0000:10:02 17:37:26", "", "", exif.Time{}},
		{"cut", "2022:10:02 17:37", "", "", exif.Time{}},
		{"longer", "2022:10:02 17:37:26Z", "", "", exif.Time{}},
		{"signs", "2022:10:02 17:37:-6", "", "", exif.Time{}},
		{"dashes", "2022-10-02T17:37:26", "", "", exif.Time{Wall: at(0)}},
		{"a reset clock is still its face", "1980:01:01 00:00:00", "", "", exif.Time{Wall: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)}},
	} {
		if got := exif.ParseTime(c.stamp, c.sub, c.zone); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
}

// The worked value of a real Sony file: 2022-10-02T17:37:26.888+08:00 is Unix
// 1664703446.888.
func TestZoneGivesTheInstant(t *testing.T) {
	got := exif.ParseTime("2022:10:02 17:37:26", "888", "+08:00")
	instant := got.Wall.Add(-time.Duration(got.Zone) * time.Minute)
	if instant.UnixMilli() != 1664703446888 {
		t.Errorf("Unix %d ms", instant.UnixMilli())
	}
}
