package gaps

import (
	"maps"
	"slices"
	"time"
)

// dayBegins is when a shooting day begins: receptions end after midnight.
const dayBegins = 5 * time.Hour

// day is the shooting day of a moment.
func day(t time.Time) time.Time {
	y, m, d := t.Add(-dayBegins).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// silences finds the bodies that worked on a day and took no frame for as long as
// the others needed to take many.
func silences(shots []Shot, o Options) (out []Alarm) {
	days := map[time.Time][]Shot{}
	for _, s := range shots {
		if s.Body != "" && !s.At.IsZero() {
			days[day(s.At)] = append(days[day(s.At)], s)
		}
	}
	for _, d := range slices.SortedFunc(maps.Keys(days), time.Time.Compare) {
		list := days[d]
		slices.SortStableFunc(list, func(a, b Shot) int { return a.At.Compare(b.At) })
		at := map[string][]time.Time{}
		for _, s := range list {
			at[s.Body] = append(at[s.Body], s.At)
		}
		for _, body := range slices.Sorted(maps.Keys(at)) {
			own := at[body]
			// Between the frames of one body, and before the first and after the last.
			edges := append(append([]time.Time{{}}, own...), time.Time{})
			for i := 1; i < len(edges); i++ {
				if n := others(list, body, edges[i-1], edges[i]); n >= o.Silent {
					out = append(out, Alarm{Kind: Silence, Body: body, Missing: n, After: edges[i-1], Before: edges[i]})
				}
			}
		}
	}
	return out
}

// others counts the frames of other bodies between two moments, both left out;
// zero = without an end. The list is in the order of time.
func others(list []Shot, body string, after, before time.Time) int {
	lo, hi := 0, len(list)
	if !after.IsZero() {
		lo, _ = slices.BinarySearchFunc(list, after, func(s Shot, t time.Time) int {
			if s.At.After(t) {
				return 1
			}
			return -1
		})
	}
	if !before.IsZero() {
		hi, _ = slices.BinarySearchFunc(list, before, func(s Shot, t time.Time) int { return s.At.Compare(t) })
	}
	n := 0
	for _, s := range list[min(lo, hi):hi] {
		if s.Body != body {
			n++
		}
	}
	return n
}
