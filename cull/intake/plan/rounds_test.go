package plan

import "testing"

func TestRoundNames(t *testing.T) {
	for _, letter := range []string{"A", "AA", "unknown", "1", "12", "A-2", "x1", "-"} {
		for r := 1; r < 120; r++ {
			name := roundName(letter, r)
			if got := roundOf(letter, name); got != r {
				t.Errorf("round %d of %q is %q, and that round %d", r, letter, name, got)
			}
		}
	}
	for _, folder := range []string{"A1", "A02", "A0", "A2x", "B2", "AA", "A-2", "A+2", ""} {
		if r := roundOf("A", folder); r != 0 {
			t.Errorf("%q is round %d of A", folder, r)
		}
	}
}

func TestNextRound(t *testing.T) {
	for _, tt := range []struct{ path, next, aside string }{
		{"A/x.NEF", "A2/x.NEF", "aside/A/x.NEF"},
		{"A2/Day one/x.NEF", "A3/Day one/x.NEF", "aside/A2/Day one/x.NEF"},
		{"A9/x", "A10/x", "aside/A9/x"},
		{"unknown/x", "unknown2/x", "aside/unknown/x"},
		{"clips/A/PRIVATE/x", "clips/A2/PRIVATE/x", "aside/clips/A/PRIVATE/x"},
		{"aside/A/x", "aside/A2/x", "aside/A/x"},
		{"aside/clips/A2/P/x", "aside/clips/A3/P/x", "aside/clips/A2/P/x"},
		{"2/x", "2-2/x", "aside/2/x"},
		{"2-2/x", "2-3/x", "aside/2-2/x"},
		{"x", "unknown2/x", "aside/x"},
		{"clips/x", "clips2/x", "aside/clips/x"},
	} {
		none := func(string) bool { return false }
		if got := NextRound(tt.path, none); got != tt.next {
			t.Errorf("%s: next is %s, not %s", tt.path, got, tt.next)
		}
		if got := AsidePath(tt.path, none); got != tt.aside {
			t.Errorf("%s: aside is %s, not %s", tt.path, got, tt.aside)
		}
	}
	taken := map[string]bool{"A2/x": true, "A3/x": true, "aside/A/x": true, "aside/A2/x": true}
	has := func(p string) bool { return taken[p] }
	if got := NextRound("A/x", has); got != "A4/x" {
		t.Errorf("next free round: %s", got)
	}
	if got := AsidePath("A/x", has); got != "aside/A3/x" {
		t.Errorf("next free place aside: %s", got)
	}
}
