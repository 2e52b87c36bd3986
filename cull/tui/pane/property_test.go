package pane_test

import (
	"fmt"
	"image"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"pgregory.net/rapid"

	"garner/cull"
	"garner/cull/tui/pane"
)

// sgr is what a line may carry besides text (ECMA-48, 8.3.117).
var sgr = regexp.MustCompile(`\x1b\[[0-9;]*m`)

// bidirectional are the marks that reorder text (Unicode Standard Annex 9, table 4).
const bidirectional = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"

type failer interface {
	Helper()
	Errorf(string, ...any)
}

// exact checks what holds for the lines of every pane.
func exact(t failer, what string, lines []string, w, h int) {
	t.Helper()
	if len(lines) != h {
		t.Errorf("%s: %d lines instead of %d", what, len(lines), h)
	}
	for i, l := range lines {
		if got := ansi.StringWidth(l); got != w {
			t.Errorf("%s, line %d: %d cells instead of %d: %q", what, i, got, w, l)
		}
		text := sgr.ReplaceAllString(l, "")
		if k := strings.IndexFunc(text, unicode.IsControl); k >= 0 {
			t.Errorf("%s, line %d: a control character: %q", what, i, l)
		}
		if strings.ContainsAny(text, bidirectional) {
			t.Errorf("%s, line %d: a bidirectional mark: %q", what, i, l)
		}
		if last := strings.LastIndex(l, "\x1b["); last >= 0 && !strings.HasPrefix(l[last:], "\x1b[0m") {
			t.Errorf("%s, line %d: a style runs on: %q", what, i, l)
		}
	}
}

// nasty are strings as files may carry them.
func nasty() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.SampledFrom([]string{
			"", " ", "A/IMG_0412", "\x1b[2J\x1b]0;x\a", "a\nb\r\tc", "\x9b31m", "\u202eGNP.exe", "e\u0301", "\u0301\u0302", "漢字漢字漢字",
			"👍🏽", "👨\u200d👩\u200d👧", "🇩🇪🇩", "❤\ufe0f", "한국어", "\u1112\u1161\u11ab", "नमस्ते", "\u0600a", "\xff\xfe", "\u00ad", "\u3000",
			strings.Repeat("x", 400), strings.Repeat("漢", 9000), strings.Repeat("e\u0301", 9000), "…", "///", ".", "ﷺ", "\U000e0041",
		}),
		rapid.String(),
		rapid.StringOfN(rapid.RuneFrom(nil, unicode.Mn, unicode.Me, unicode.Cf, unicode.So, unicode.Han, unicode.Prepended_Concatenation_Mark), 0, 40, -1),
	)
}

func anAnswer() *rapid.Generator[cull.Answer] {
	return rapid.Custom(func(t *rapid.T) cull.Answer { return cull.Answer(rapid.IntRange(0, 5).Draw(t, "answer")) })
}

func aStyle() *rapid.Generator[*pane.Styles] {
	return rapid.Custom(func(t *rapid.T) *pane.Styles {
		p := rapid.SampledFrom([]termenv.Profile{termenv.Ascii, termenv.ANSI, termenv.ANSI256, termenv.TrueColor}).Draw(t, "profile")
		return pane.NewStyles(p, rapid.Bool().Draw(t, "dark"))
	})
}

func aSize() *rapid.Generator[int] {
	return rapid.OneOf(rapid.IntRange(1, 300), rapid.IntRange(1, 12))
}

func strs(t *rapid.T, what string, most int) []string {
	return rapid.SliceOfN(nasty(), 0, most).Draw(t, what)
}

// aLoupe is one that shows a part, or nothing that makes sense.
func aLoupe() *rapid.Generator[*pane.Loupe] {
	return rapid.Custom(func(t *rapid.T) *pane.Loupe {
		if rapid.Bool().Draw(t, "closed") {
			return nil
		}
		n := func(what string) int { return rapid.IntRange(-10, 9000).Draw(t, what) }
		at := image.Pt(n("x"), n("y"))
		return &pane.Loupe{Part: image.Rectangle{at, at.Add(image.Pt(n("w"), n("h")))}, Size: image.Pt(n("width"), n("height")),
			Sensor: image.Pt(n("sensor"), n("sensor")), From: nasty().Draw(t, "from"), Face: nasty().Draw(t, "face"), Why: rapid.SampledFrom([]string{"", "the disk\x1b is gone"}).Draw(t, "why")}
	})
}

func TestTopHoldsItsSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, w := aStyle().Draw(t, "style"), aSize().Draw(t, "width")
		top := pane.Top{
			Pass:     rapid.SampledFrom([]string{"", "keep", "retouch", "\x1b"}).Draw(t, "pass"),
			Question: nasty().Draw(t, "question"), Name: nasty().Draw(t, "name"), Answer: anAnswer().Draw(t, "answer"),
			Explicit: rapid.Bool().Draw(t, "explicit"), Facts: strs(t, "facts", 6), Body: nasty().Draw(t, "body"), Scene: nasty().Draw(t, "scene"),
			Position: rapid.Int().Draw(t, "position"), Total: rapid.Int().Draw(t, "total"), Pending: nasty().Draw(t, "pending"),
			Waiting: rapid.Bool().Draw(t, "waiting"), Marks: strs(t, "marks", 3), Loupe: aLoupe().Draw(t, "loupe"),
			Alike: rapid.IntRange(-1, 3000).Draw(t, "alike"), Merge: rapid.Bool().Draw(t, "merge"),
			Seen: rapid.SliceOfN(aMark(), 0, 3).Draw(t, "seen"), Hatching: nasty().Draw(t, "hatching"), Hatched: nasty().Draw(t, "hatched"),
			Only: nasty().Draw(t, "only"), OnlyAt: rapid.IntRange(-1, 99).Draw(t, "which"), OnlyOf: rapid.Int().Draw(t, "of them"),
		}
		tall, h := rapid.Bool().Draw(t, "tall"), 1
		if tall && top.Pass != "" && top.Pass != "keep" {
			h = 3
		}
		exact(t, "top", top.Lines(st, w, tall), w, h)
	})
}

func TestTrialHoldsItsSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, w := aStyle().Draw(t, "style"), aSize().Draw(t, "width")
		trial := pane.Trial{Set: nasty().Draw(t, "set"), SetAt: rapid.Int().Draw(t, "at"), SetsAll: rapid.Int().Draw(t, "sets"), Picture: nasty().Draw(t, "picture"),
			At: rapid.Int().Draw(t, "which"), Total: rapid.Int().Draw(t, "total"), File: nasty().Draw(t, "file"), Number: rapid.Int().Draw(t, "number"), NoName: nasty().Draw(t, "no name"),
			Facts: strs(t, "facts", 6), Remarks: strs(t, "remarks", 3), Cutting: rapid.Bool().Draw(t, "cutting"), Seen: nasty().Draw(t, "seen"), Loupe: aLoupe().Draw(t, "loupe"),
			Notice: pane.Notice{Text: nasty().Draw(t, "notice"), Kind: pane.Refused}, Hint: nasty().Draw(t, "hint")}
		exact(t, "trial", append(trial.Top(st, w), trial.Bottom(st, w)), w, 3)
	})
}

func TestTyingHoldsItsSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, w := aStyle().Draw(t, "style"), aSize().Draw(t, "width")
		tying := pane.Tying{Picture: nasty().Draw(t, "picture"), At: rapid.Int().Draw(t, "at"), Total: rapid.Int().Draw(t, "total"), Left: rapid.Int().Draw(t, "left"),
			Why: strs(t, "why", 3), Done: nasty().Draw(t, "done"), Picked: strs(t, "picked", 4), Waiting: rapid.Bool().Draw(t, "waiting"),
			Notice: pane.Notice{Text: nasty().Draw(t, "notice"), Undo: rapid.Bool().Draw(t, "undo")}, Hint: nasty().Draw(t, "hint")}
		exact(t, "tying", append(tying.Top(st, w), tying.Bottom(st, w)), w, 3)
	})
}

func TestLadderHoldsItsSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, w, h := aStyle().Draw(t, "style"), aSize().Draw(t, "width"), aSize().Draw(t, "height")
		rung := rapid.Custom(func(t *rapid.T) pane.Rung {
			return pane.Rung{
				Name: nasty().Draw(t, "name"), Answer: anAnswer().Draw(t, "answer"), Explicit: rapid.Bool().Draw(t, "explicit"),
				Here: rapid.Bool().Draw(t, "here"), Seen: rapid.Bool().Draw(t, "seen"), Broken: rapid.Bool().Draw(t, "broken"),
				After: time.Duration(rapid.Int64().Draw(t, "after")), Body: nasty().Draw(t, "body"),
				Marks: rapid.SliceOfN(aMark(), 0, 4).Draw(t, "marks"),
			}
		})
		l := pane.Ladder{
			Pass:   rapid.SampledFrom([]string{"", "keep", "album"}).Draw(t, "pass"),
			Kind:   rapid.SampledFrom([]cull.MomentKind{cull.Burst, cull.Series, cull.Single, "?"}).Draw(t, "kind"),
			Series: rapid.SampledFrom([]cull.SeriesKind{"", cull.Bracket, cull.Together, "\x1b"}).Draw(t, "series"),
			Rungs:  rapid.SliceOfN(rung, 0, 30).Draw(t, "rungs"),
			Why:    nasty().Draw(t, "why"),
			Alike:  rapid.SliceOfN(anAlike(), 0, 12).Draw(t, "alike"),
		}
		exact(t, "ladder", l.Lines(st, w, h), w, h)
	})
}

func aMark() *rapid.Generator[pane.Mark] {
	return rapid.Custom(func(t *rapid.T) pane.Mark {
		return pane.Mark{Forms: strs(t, "forms", 4), Look: rapid.Bool().Draw(t, "look")}
	})
}

func anAlike() *rapid.Generator[pane.Alike] {
	return rapid.Custom(func(t *rapid.T) pane.Alike {
		n := func(what string) int { return rapid.IntRange(0, 3000).Draw(t, what) }
		return pane.Alike{Name: nasty().Draw(t, "name"), Body: nasty().Draw(t, "body"), Kind: cull.Burst,
			Counts: cull.Counts{Yes: n("yes"), No: n("no"), Part: n("part"), Open: n("open")}, After: time.Duration(rapid.Int64().Draw(t, "after"))}
	})
}

// TestLadderShowsWhereOneIs: from three lines on, the rung that is here is always
// among those shown, and shown and hidden ones add up.
func TestLadderShowsWhereOneIs(t *testing.T) {
	st := pane.NewStyles(termenv.Ascii, true)
	more := regexp.MustCompile(`^  (\d+) more *$`)
	rapid.Check(t, func(t *rapid.T) {
		n, h := rapid.IntRange(1, 60).Draw(t, "rungs"), rapid.IntRange(6, 40).Draw(t, "height")
		here := rapid.IntRange(0, n-1).Draw(t, "here")
		l := pane.Ladder{Kind: cull.Burst}
		for i := range n {
			l.Rungs = append(l.Rungs, pane.Rung{Name: fmt.Sprintf("R%02d", i), Here: i == here})
		}
		shown, hidden, seen := 0, 0, false
		for _, line := range l.Lines(st, 24, h) {
			line = sgr.ReplaceAllString(line, "")
			if m := more.FindStringSubmatch(line); m != nil {
				var k int
				fmt.Sscan(m[1], &k)
				hidden += k
			}
			if strings.Contains(line, " R") {
				shown++
				seen = seen || strings.Contains(line, fmt.Sprintf("R%02d", here)) && strings.Contains(line, "▸")
			}
		}
		if !seen {
			t.Errorf("the rung that is here is not shown")
		}
		if shown+hidden != n {
			t.Errorf("%d shown and %d hidden of %d", shown, hidden, n)
		}
	})
}

func TestRibbonHoldsItsSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, w := aStyle().Draw(t, "style"), aSize().Draw(t, "width")
		span := rapid.Custom(func(t *rapid.T) pane.Span {
			return pane.Span{
				Name: nasty().Draw(t, "name"), Frames: rapid.SliceOfN(anAnswer(), 0, 60).Draw(t, "frames"),
				Here: rapid.IntRange(-1, 60).Draw(t, "here"),
			}
		})
		r := pane.Ribbon{Scenes: rapid.SliceOfN(span, 0, 40).Draw(t, "scenes")}
		exact(t, "ribbon", []string{r.Line(st, w)}, w, 1)
	})
}

// TestRibbonMarksWhereOneIs: whatever the job and the width, the cursor's place is
// in the row once.
func TestRibbonMarksWhereOneIs(t *testing.T) {
	st := pane.NewStyles(termenv.Ascii, true)
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.IntRange(1, 200).Draw(t, "width")
		sizes := rapid.SliceOfN(rapid.IntRange(1, 300), 1, 250).Draw(t, "sizes")
		in := rapid.IntRange(0, len(sizes)-1).Draw(t, "scene")
		var r pane.Ribbon
		for i, n := range sizes {
			s := pane.Span{Frames: make([]cull.Answer, n), Here: -1}
			if i == in {
				s.Here = rapid.IntRange(0, n-1).Draw(t, "here")
			}
			r.Scenes = append(r.Scenes, s)
		}
		line := sgr.ReplaceAllString(r.Line(st, w), "")
		if n := strings.Count(line, "┃"); n != 1 {
			t.Errorf("marked %d times: %q", n, line)
		}
		if cells := len(strings.Fields(line)); len(sizes)*2-1 <= w && cells != len(sizes) {
			t.Errorf("%d scenes in the row instead of %d: %q", cells, len(sizes), line)
		}
	})
}

func TestBottomHoldsItsSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, w := aStyle().Draw(t, "style"), aSize().Draw(t, "width")
		p := pane.Pace{
			Pass: rapid.SampledFrom([]string{"", "keep", "album"}).Draw(t, "pass"), Scene: nasty().Draw(t, "scene"),
			SceneDone: rapid.Int().Draw(t, "done"), SceneAll: rapid.Int().Draw(t, "all of scene"), Kept: rapid.Int().Draw(t, "kept"),
			Projected: rapid.Int().Draw(t, "projected"), Goal: rapid.Int().Draw(t, "goal"), PerMinute: rapid.Float64().Draw(t, "pace"),
			Left: time.Duration(rapid.Int64().Draw(t, "left")), Open: rapid.Int().Draw(t, "open"), All: rapid.Int().Draw(t, "all"),
			Preparing: nasty().Draw(t, "preparing"), Arrived: rapid.Int().Draw(t, "arrived"),
		}
		n := pane.Notice{Text: nasty().Draw(t, "text"), Kind: pane.NoticeKind(rapid.IntRange(0, 4).Draw(t, "kind")), Undo: rapid.Bool().Draw(t, "undo"), Key: nasty().Draw(t, "key")}
		exact(t, "bottom", []string{pane.Bottom(st, n, p, w), p.Line(st, w), n.Line(st, w)}, w, 3)
	})
}

func keyLines(t *rapid.T) []pane.KeyLine {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) pane.KeyLine {
		return pane.KeyLine{Keys: strs(t, "keys", 3), Does: nasty().Draw(t, "does"), Why: nasty().Draw(t, "why")}
	}), 0, 8).Draw(t, "lines")
}

func TestSheetsHoldTheirSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		st, w, h := aStyle().Draw(t, "style"), aSize().Draw(t, "width"), aSize().Draw(t, "height")
		switch rapid.IntRange(0, 5).Draw(t, "pane") {
		case 0:
			fact := rapid.Custom(func(t *rapid.T) pane.Fact {
				return pane.Fact{Label: nasty().Draw(t, "label"), Value: nasty().Draw(t, "value")}
			})
			f := pane.Facts{Title: nasty().Draw(t, "title"), Problems: strs(t, "problems", 4)}
			f.Groups = rapid.SliceOfN(rapid.SliceOfN(fact, 0, 5), 0, 5).Draw(t, "groups")
			exact(t, "facts", f.Lines(st, w, h), w, h)
		case 1:
			help := pane.Help{Title: nasty().Draw(t, "title"), Foot: strs(t, "foot", 3)}
			for range rapid.IntRange(0, 6).Draw(t, "groups") {
				help.Groups = append(help.Groups, pane.HelpGroup{Name: nasty().Draw(t, "name"), Keys: keyLines(t)})
			}
			exact(t, "help", help.Lines(st, w, h), w, h)
		case 2:
			match := rapid.Custom(func(t *rapid.T) pane.Match {
				return pane.Match{Name: nasty().Draw(t, "name"), What: nasty().Draw(t, "what")}
			})
			g := pane.Goto{Prompt: nasty().Draw(t, "prompt"), Text: nasty().Draw(t, "text"), Cursor: rapid.IntRange(-2, 500).Draw(t, "cursor"), Selected: rapid.IntRange(-1, 50).Draw(t, "selected"), Hint: nasty().Draw(t, "hint"), Notes: strs(t, "notes", 3)}
			g.Matches = rapid.SliceOfN(match, 0, 30).Draw(t, "matches")
			exact(t, "go to", g.Lines(st, w, h), w, h)
		case 3:
			m := pane.Message{Title: nasty().Draw(t, "title"), Lines: strs(t, "lines", 8)}
			exact(t, "message", m.Block(st, w, h), w, h)
		case 4:
			q := pane.Question{Title: nasty().Draw(t, "title"), Text: strs(t, "text", 5), Keys: keyLines(t), Sleeping: rapid.Bool().Draw(t, "sleeping")}
			exact(t, "question", q.Lines(st, w, h), w, h)
		case 5:
			r := pane.Review{Title: nasty().Draw(t, "title"), Selected: rapid.IntRange(-2, 40).Draw(t, "selected"), Hint: nasty().Draw(t, "hint"), Stands: strs(t, "stands", 3)}
			for range rapid.IntRange(0, 30).Draw(t, "lines") {
				r.Lines = append(r.Lines, pane.ReviewLine{Text: nasty().Draw(t, "text"), Nothing: rapid.Bool().Draw(t, "nothing")})
			}
			for range rapid.IntRange(0, 4).Draw(t, "tables") {
				table := pane.ShareTable{Name: nasty().Draw(t, "name")}
				for range rapid.IntRange(0, 20).Draw(t, "shares") {
					table.Shares = append(table.Shares, pane.Share{Name: nasty().Draw(t, "name"), Kept: rapid.Int().Draw(t, "kept"), Frames: rapid.Int().Draw(t, "frames"), Goal: rapid.Int().Draw(t, "goal")})
				}
				r.Tables = append(r.Tables, table)
			}
			exact(t, "review", r.Rows(st, w, h), w, h)
		}
	})
}
