package sidecar

import (
	"strings"
	"time"

	"garner/preview/xmp"
)

// date plans xmp:MetadataDate, the last change of any metadata. It moves only
// with another change of ours, and never back. It is ours, and goes with the
// rest of ours, where we added it; one that was there is only moved on.
func (m *merge) date() {
	const ns, local = xmp.NSXMP, "MetadataDate"
	have, simple := m.doc.Get(ns, local)
	kind := m.doc.Kind(ns, local)
	ours := kind == xmp.Absent || simple && have != "" && have == m.last.MetadataDate || m.claimed
	if kind != xmp.Absent && ours {
		m.wrote.MetadataDate = have
	}
	if len(m.edits) == 0 {
		return
	}
	want := m.Want.MetadataDate
	switch {
	case kind != xmp.Absent && !simple:
	case m.Want.IsZero() && m.wrote.MetadataDate != "" && m.wrote.IsZero():
		m.edits = append(m.edits, xmp.Edit{NS: ns, Name: local, Remove: true})
		m.wrote.MetadataDate = ""
	case m.Want.IsZero() && kind == xmp.Absent:
	case want == "" || have == want || simple && trim(have) != "" && !Before(have, want):
	default:
		m.edits = append(m.edits, xmp.Edit{NS: ns, Prefix: "xmp", Name: local, Value: want})
		if ours {
			m.wrote.MetadataDate = want
		}
	}
}

// Before reports whether one XMP date is surely earlier than another (ISO
// 16684-1 §8.2.1.2). A date without a zone can be anywhere from 14 hours ahead of
// Greenwich to 12 behind, one without a time anywhere in its day, month or year;
// what is no date is not before anything.
func Before(a, b string) bool {
	_, latest, okA := bounds(a)
	earliest, _, okB := bounds(b)
	return okA && okB && latest.Before(earliest)
}

// sameDate reports whether two dates mean the same: the same clock's face, and the
// same zone or none both.
func sameDate(a, b string) bool {
	a, b = trim(a), trim(b)
	for _, form := range []string{"2006-01-02T15:04:05Z07:00", "2006-01-02T15:04:05"} {
		x, errX := time.Parse(form, a)
		y, errY := time.Parse(form, b)
		if errX == nil && errY == nil {
			_, east := x.Zone()
			_, other := y.Zone()
			return x.Equal(y) && east == other
		}
	}
	return a == b
}

// bounds returns the first and the last instant that a date can mean.
func bounds(s string) (from, to time.Time, ok bool) {
	s = trim(s)
	for _, form := range []string{
		"2006-01-02T15:04:05Z07:00", "2006-01-02T15:04Z07:00", // seconds take a fraction
	} {
		if t, err := time.Parse(form, s); err == nil {
			return t, t, true
		}
	}
	const east, west = 14 * time.Hour, 12 * time.Hour
	for _, form := range []string{"2006-01-02T15:04:05", "2006-01-02T15:04"} {
		if t, err := time.Parse(form, s); err == nil {
			return t.Add(-east), t.Add(west), true
		}
	}
	if strings.Contains(s, "T") {
		return from, to, false
	}
	for i, form := range []string{"2006-01-02", "2006-01", "2006"} {
		if t, err := time.Parse(form, s); err == nil {
			end := [...]time.Time{t.AddDate(0, 0, 1), t.AddDate(0, 1, 0), t.AddDate(1, 0, 0)}[i]
			return t.Add(-east), end.Add(west), true
		}
	}
	return from, to, false
}
