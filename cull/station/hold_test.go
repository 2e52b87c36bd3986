package station

import (
	"testing"
	"time"
)

// The figures of held keys are common practice: X servers repeat after 660 ms 25
// times a second unless told otherwise, other systems after 250 to 500 ms about
// 30 times.
func TestHeldKeys(t *testing.T) {
	type event struct {
		key string
		at  int // ms
	}
	held := func(key string, delay int) (all []event) {
		all = []event{{key, 0}}
		for at := delay; at <= delay+2000; at += 33 {
			all = append(all, event{key, at})
		}
		return all
	}
	for _, c := range []struct {
		name     string
		events   []event
		presses  int // taken for presses
		unmasked int // of those, shown later to have been repeats
	}{
		{"one press", []event{{"k", 0}}, 1, 0},
		{"held, first repeat after 250 ms", held("k", 250), 2, 1},
		{"held, first repeat after 500 ms", held("k", 500), 2, 1},
		{"held, first repeat after 660 ms", held("k", 660), 2, 1},
		{"held, repeats at once", held("k", 40), 1, 0},
		{"steady presses", []event{{"k", 0}, {"k", 300}, {"k", 600}, {"k", 900}}, 4, 0},
		{"a press after a long look, then held", []event{{"k", 0}, {"k", 9000}, {"k", 9500}, {"k", 9533}, {"k", 9566}}, 3, 1},
		{"the bounce of a worn key after a long look", []event{{"k", 0}, {"k", 9000}, {"k", 9020}}, 2, 0},
		{"two keys in quick turns", []event{{"k", 0}, {"d", 40}, {"k", 80}, {"d", 120}}, 4, 0},
		{"a key in between ends the hold", []event{{"k", 0}, {"k", 500}, {"right", 510}, {"k", 540}}, 4, 0},
		{"a clock that was set back", []event{{"k", 5000}, {"k", 20}, {"k", 500}}, 3, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			var h hold
			presses, unmasked := 0, 0
			start := time.Date(2026, 6, 13, 14, 0, 0, 0, time.UTC)
			for _, e := range c.events {
				v := h.press(Press{Key: e.key, At: start.Add(time.Duration(e.at) * time.Millisecond)})
				if !v.repeat {
					presses++
				}
				if v.unmasked {
					unmasked++
				}
			}
			if presses != c.presses || unmasked != c.unmasked {
				t.Errorf("%d presses, %d unmasked; want %d and %d", presses, unmasked, c.presses, c.unmasked)
			}
		})
	}
}

// Where the terminal reports key events, nothing is guessed: quick presses are
// presses, and a repeat is never taken for one.
func TestReportedKeys(t *testing.T) {
	var h hold
	at := time.Date(2026, 6, 13, 14, 0, 0, 0, time.UTC)
	for i, repeat := range []bool{false, true, true, false, false, true} {
		v := h.press(Press{Key: "k", At: at.Add(time.Duration(i) * 40 * time.Millisecond), Repeat: repeat, Precise: true})
		if v.repeat != repeat || v.unmasked {
			t.Errorf("event %d: %+v, want repeat %v and nothing unmasked", i, v, repeat)
		}
	}
}
