package pane_test

import (
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"garner/cull"
	"garner/cull/tui/pane"
)

// The moments below the ladder's line say what is kept of them without colour, and
// how many frames there are in all.
func TestAlikeSaysWhatIsKept(t *testing.T) {
	st := pane.NewStyles(termenv.TrueColor, true)
	signs := map[string]cull.Counts{
		"  + ": {Yes: 1, No: 3}, "  . ": {Open: 2, No: 1}, "  - ": {No: 2}, "  & ": {Part: 2, No: 1},
	}
	for sign, c := range signs {
		l := pane.Ladder{Rungs: []pane.Rung{{Name: "A/IMG_0001", Here: true}}, Alike: []pane.Alike{{Name: "A/IMG_0009", Counts: c, Kind: cull.Burst}}}
		text := plain(strings.Join(l.Lines(st, 30, 12), "\n"))
		if !strings.Contains(text, sign+"IMG_0009") || !strings.Contains(text, "alike: "+map[bool]string{true: "2 more", false: ""}[c.All() == 2]) {
			t.Errorf("%+v gives\n%s", c, text)
		}
	}
}

// Wherever the selected line is, it is to be seen, with the tables below.
func TestReviewShowsWhatIsSelected(t *testing.T) {
	st := pane.NewStyles(termenv.Ascii, true)
	r := sampleReview()
	for len(r.Lines) < 60 {
		r.Lines = append(r.Lines, pane.ReviewLine{Text: "moment without a keeper"})
	}
	for _, h := range []int{8, 12, 24, 60} {
		for at := range r.Lines {
			r.Selected = at
			text := plain(strings.Join(r.Rows(st, 80, h), "\n"))
			if !strings.Contains(text, "▸ "+r.Lines[at].Text[:8]) {
				t.Fatalf("line %d is not to be seen in %d rows:\n%s", at, h, text)
			}
			if h >= 12 && !strings.Contains(text, "hour") {
				t.Fatalf("no tables in %d rows:\n%s", h, text)
			}
		}
	}
}

func TestTitle(t *testing.T) {
	for _, c := range []struct {
		kind   cull.MomentKind
		series cull.SeriesKind
		n      int
		want   string
	}{
		{cull.Burst, "", 4, "burst of 4"}, {cull.Series, cull.Bracket, 5, "bracket of 5"}, {cull.Series, cull.Panorama, 6, "panorama of 6"},
		{cull.Series, cull.FocusStack, 9, "focus stack of 9"}, {cull.Series, cull.Together, 3, "series of 3"}, {cull.Series, "", 3, "series of 3"},
		{cull.Single, "", 1, "one frame"}, {"", "", 1, "1 frame"},
	} {
		if got := pane.Title(c.kind, c.series, c.n); got != c.want {
			t.Errorf("%v %v %d: %q, want %q", c.kind, c.series, c.n, got, c.want)
		}
	}
}
