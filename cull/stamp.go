package cull

import "fmt"

// Text writes a capture time as local time ("2026-06-13T14:02:11.13", with as
// many sub-second digits as the file carried) and zone ("+02:00"); each is ""
// where it is unknown. A zone is never guessed (ISO 16684-1 §8.2.1.2).
func (s Stamp) Text() (local, zone string) {
	if !s.Known() {
		return "", ""
	}
	layout := "2006-01-02T15:04:05"
	if s.Digits > 0 {
		layout += "." + "000000000"[:min(s.Digits, 9)]
	}
	if s.ZoneIs == ZoneKnown || s.ZoneIs == ZoneSet {
		zone = ZoneText(s.Zone)
	}
	return s.Wall.Format(layout), zone
}

// ZoneText writes minutes east of Greenwich as "+02:00".
func ZoneText(minutes int) string {
	sign := '+'
	if minutes < 0 {
		sign, minutes = '-', -minutes
	}
	return fmt.Sprintf("%c%02d:%02d", sign, minutes/60, minutes%60)
}
