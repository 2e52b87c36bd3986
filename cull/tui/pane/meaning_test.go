package pane_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/muesli/termenv"

	"garner/cull"
	"garner/cull/tui/pane"
)

func plain(s string) string { return sgr.ReplaceAllString(s, "") }

// TestNoColour: in the profile without colours only attributes are used.
func TestNoColour(t *testing.T) {
	attribute := regexp.MustCompile(`^\x1b\[(0|[124579](;[124579])*)m$`)
	for _, dark := range []bool{true, false} {
		st := pane.NewStyles(termenv.Ascii, dark)
		for _, s := range sampleParts(st, 120, 40) {
			for _, l := range s.lines {
				for _, e := range sgr.FindAllString(l, -1) {
					if !attribute.MatchString(e) {
						t.Errorf("%s: %q is not an attribute", s.name, e)
					}
				}
			}
		}
	}
}

// TestStateWithoutColour: every state of a frame looks different in plain text,
// in the ladder and in the ribbon.
func TestStateWithoutColour(t *testing.T) {
	st := pane.NewStyles(termenv.TrueColor, true)
	states := map[string]string{}
	for _, r := range []pane.Rung{
		{}, {Seen: true}, {Broken: true},
		{Answer: cull.Yes, Explicit: true, Seen: true}, {Answer: cull.Yes, Seen: true}, {Answer: cull.Yes},
		{Answer: cull.No, Explicit: true, Seen: true}, {Answer: cull.No, Seen: true}, {Answer: cull.No},
		{Answer: cull.Part, Explicit: true, Seen: true}, {Answer: cull.Part, Seen: true}, {Answer: cull.Part},
	} {
		r.Name = "A/IMG_0412"
		line := plain(pane.Ladder{Rungs: []pane.Rung{r}}.Lines(st, 26, 2)[1])
		if other, ok := states[line]; ok {
			t.Errorf("%+v and %s look the same: %q", r, other, line)
		}
		states[line] = r.Answer.String()
	}
	glyphs := map[string]bool{}
	for _, frames := range [][]cull.Answer{{cull.Open}, {cull.No}, {cull.Yes}} {
		glyphs[plain(pane.Ribbon{Scenes: []pane.Span{{Frames: frames, Here: -1}}}.Line(st, 1))] = true
	}
	glyphs[plain(pane.Ribbon{Scenes: []pane.Span{{Frames: []cull.Answer{cull.Open}, Here: 0}}}.Line(st, 1))] = true
	glyphs[plain(pane.Ribbon{Scenes: []pane.Span{{Frames: []cull.Answer{cull.Open, cull.Yes}, Here: -1}}}.Line(st, 1))] = true
	if len(glyphs) != 5 {
		t.Errorf("cells of the ribbon look the same: %v", glyphs)
	}
}

// TestDroppedIsStruckThrough: dropped frames and no others are drawn struck
// through (ECMA-48, 8.3.117, SGR 9), kept ones bold (SGR 1), in every profile.
func TestDroppedIsStruckThrough(t *testing.T) {
	struck := regexp.MustCompile(`\x1b\[([0-9;]*;)?9(;[0-9;]*)?m[^\x1b]*IMG_0412`)
	bold := regexp.MustCompile(`\x1b\[1(;[0-9;]*)?m[^\x1b]*IMG_0412`)
	for _, p := range []termenv.Profile{termenv.Ascii, termenv.ANSI, termenv.ANSI256, termenv.TrueColor} {
		st := pane.NewStyles(p, true)
		for _, a := range []cull.Answer{cull.Open, cull.Yes, cull.No, cull.Part} {
			for _, here := range []bool{false, true} {
				lines := pane.Ladder{Rungs: []pane.Rung{{Name: "A/IMG_0412", Answer: a, Here: here}}}.Lines(st, 30, 2)
				lines = append(lines, pane.Top{Name: "A/IMG_0412", Answer: a}.Lines(st, 80, false)...)
				for _, l := range []string{lines[1], lines[2]} {
					if struck.MatchString(l) != (a == cull.No) {
						t.Errorf("%v in profile %d: %q", a, p, l)
					}
					if bold.MatchString(l) != (a == cull.Yes || a == cull.Part) {
						t.Errorf("%v in profile %d: %q", a, p, l)
					}
				}
			}
		}
	}
}

// TestWaitingAsksNothing: as long as the picture is not there the question is not
// asked, and nothing else moves when it is.
func TestWaitingAsksNothing(t *testing.T) {
	st := pane.NewStyles(termenv.Ascii, true)
	for _, pass := range []string{"keep", "retouch"} {
		for _, tall := range []bool{false, true} {
			asks := sampleTop()
			asks.Pass, asks.Question = pass, "Does this one get retouched?"
			waits := asks
			waits.Waiting = true
			a, b := plain(strings.Join(asks.Lines(st, 120, tall), "\n")), plain(strings.Join(waits.Lines(st, 120, tall), "\n"))
			if !strings.Contains(a, "?") || strings.Contains(b, "?") {
				t.Errorf("pass %s:\n%s\n%s", pass, a, b)
			}
			// "…" is one cell, as is each letter it stands for.
			if x, y := []rune(a), []rune(b); len(x) != len(y) || strings.Index(a, "A/IMG") != strings.Index(strings.Replace(b, "…", "_", 1), "A/IMG") {
				t.Errorf("pass %s: things move:\n%s\n%s", pass, a, b)
			}
		}
	}
}

func TestPaceDropsWhatMattersLeast(t *testing.T) {
	st := pane.NewStyles(termenv.Ascii, true)
	for _, c := range []struct {
		name string
		w    int
		p    pane.Pace
		want string
	}{
		{"wide", 118, samplePace(), "scene 03 church 240/412   kept 124, goal 600, about 610 in the end   2,708 open   31 a minute   1 h 12 min left"},
		{"without the rate", 108, samplePace(), "scene 03 church 240/412   kept 124, goal 600, about 610 in the end   2,708 open   1 h 12 min left"},
		{"without the open ones", 88, samplePace(), "scene 03 church 240/412   kept 124, goal 600, about 610 in the end   1 h 12 min left"},
		{"the scene by its name", 83, samplePace(), "03 church 240/412   kept 124, goal 600, about 610 in the end   1 h 12 min left"},
		{"without the time", 48, samplePace(), "kept 124, goal 600, about 610 in the end"},
		{"without the rest", 30, samplePace(), "kept 124, goal 600, about 610"},
		{"hardly anything", 10, samplePace(), "kept 124"},
		{"no goal", 80, pane.Pace{Kept: 3, Projected: 41, Open: 1, All: 80}, "kept 3, about 41 in the end   1 open"},
		{"a later pass", 80, pane.Pace{Pass: "album", Kept: 3, Open: 9, All: 12}, "yes 3   9 open"},
		{"done", 80, pane.Pace{Kept: 612, Goal: 600, All: 3120}, "kept 612, goal 600   all 3,120 decided"},
		{"nothing yet", 80, pane.Pace{Preparing: "preparing 12 of 3,120"}, "preparing 12 of 3,120   kept 0"},
		{"arrived", 40, pane.Pace{Kept: 3, Open: 9, All: 12, Arrived: 4, Preparing: "preparing 412 of 3,120"}, "4 arrived before here   kept 3"},
		{"slow", 80, pane.Pace{Kept: 3, Open: 9, All: 12, PerMinute: 2.25, Left: 45 * time.Second}, "kept 3   9 open   2.2 a minute   45 s left"},
	} {
		got := strings.TrimSpace(regexp.MustCompile(` {3,}`).ReplaceAllString(plain(c.p.Line(st, c.w)), "   "))
		if got != c.want {
			t.Errorf("%s:\n got %q\nwant %q", c.name, got, c.want)
		}
	}
}

// TestNoticeComesFirst: what is said is said in full, whatever the pace loses.
func TestNoticeComesFirst(t *testing.T) {
	st := pane.NewStyles(termenv.Ascii, true)
	n := pane.Notice{Text: "6 dropped, 2 of them never shown", Undo: true, Key: "z"}
	for w := len(n.Text); w < 160; w++ {
		line := plain(pane.Bottom(st, n, samplePace(), w))
		if !strings.HasPrefix(line, n.Text) {
			t.Errorf("at %d: %q", w, line)
		}
		if w >= 80 && !(strings.Contains(line, "z takes it back") && strings.Contains(line, "kept 124")) {
			t.Errorf("at %d: %q", w, line)
		}
	}
}

// TestHelpFits: the keys of the station and what the signs mean fit the smallest
// screen, and every word of them is there.
func TestHelpFits(t *testing.T) {
	st := pane.NewStyles(termenv.Ascii, true)
	for _, size := range sizes {
		text := plain(strings.Join(sampleHelp().Lines(st, size.w, size.h), "\n"))
		if strings.Contains(text, "more") || strings.Contains(text, "…") {
			t.Errorf("%dx%d: cut:\n%s", size.w, size.h, text)
		}
		for _, g := range sampleHelp().Groups {
			for _, k := range g.Keys {
				for _, word := range strings.Fields(k.Does + " " + k.Why) {
					if !strings.Contains(text, word) {
						t.Errorf("%dx%d: %q is missing", size.w, size.h, word)
					}
				}
			}
		}
	}
}

func TestGotoShowsTheCursor(t *testing.T) {
	st := pane.NewStyles(termenv.Ascii, true)
	cursor := regexp.MustCompile(`\x1b\[1;7m(.[^\x1b]*)\x1b\[0m`)
	for _, c := range []struct {
		name, text string
		at         int
		want       string
	}{
		{"at the end", "IMG", 3, " "}, {"inside", "IMG", 1, "M"}, {"beyond", "IMG", 9, " "}, {"before", "IMG", -1, "I"},
		{"wide", "a漢b", 1, "漢"}, {"a control character", "a\x1bb", 1, `\x1b`}, {"long text", strings.Repeat("x", 300) + "yz", 300, "y"},
	} {
		line := pane.Goto{Text: c.text, Cursor: c.at}.Lines(st, 40, 1)[0]
		if m := cursor.FindStringSubmatch(line); m == nil || m[1] != c.want {
			t.Errorf("%s: %q", c.name, line)
		}
	}
}
