package tui

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull/station"
)

// The key of look-alikes waits as that of bursts does: for keep, drop or fan, and Esc
// takes it back.
func TestAlikeKeyWaits(t *testing.T) {
	d := drive(t, grouped(t, demoFrames, "2a 1a 3a 2 1"), 120, 40, Options{})
	d.sees("4 alike", "alike: 4 more", "burst of 3")
	d.press("a")
	d.sees("all alike: k, d or f")
	d.press("right")
	d.sees("after a only k, d or f do something")
	d.press("a", "esc")
	d.sees("the look-alikes stay as they are")
	d.press("a", "f")
	d.sees("alike: 6 frames of 3 moments", "moment 2", "moment 3")
	d.press("esc")
	if d.desk.InFan() {
		t.Error("Esc does not close the fan")
	}
	d.press("a", "w", "d") // the other key takes its place
	if got := len(decided(d)); got != 2 {
		t.Errorf("%d decided", got)
	}
	d.press("a", "k")
	d.sees("all 6 alike: 6 kept")
	if got := len(decided(d)); got != 6 {
		t.Errorf("%d decided", got)
	}
	d.press("a")
	d.sees("nothing else in this scene looks like this moment")
	d.press("A")
	d.sees("nothing else in this scene looks like this moment")
}

// A series asks to be merged, and each key of its says what it does.
func TestSeriesOnTheScreen(t *testing.T) {
	d := drive(t, grouped(t, demoFrames, "3s 2 1"), 120, 40, Options{})
	d.sees("merge?", "bracket of 3")
	d.press("d")
	d.sees("the whole bracket of 3: 3 dropped, 2 of them never shown", "keep?")
	d.press("u", "down", "k")
	d.sees("leads a merge: 1 kept; 2 marked as part")
	d.press("m")
	d.sees("leads a merge: 1 kept; 1 marked as part")
	d.press("m")
	d.sees("this frame is a moment of its own")
}

// Corrections by their keys, the change of a scene, and its name.
func TestCorrectionKeys(t *testing.T) {
	d := drive(t, grouped(t, demoFrames, "1 1 3 | 2 1"), 120, 40, Options{})
	d.press("right", "j")
	d.sees("joined with the moment before it: a burst of 2", "u takes it back")
	d.press("u")
	d.sees("taken back: the join of 2 frames")
	d.press("J")
	d.sees("a series of 2", "merge?")
	d.press("u", "right", "down", "s")
	d.sees("split before")
	d.press("u", "e")
	d.sees("is a moment of its own")
	d.press("u", "S")
	d.sees("scene 02 begins here")
	d.press("S")
	d.sees("no scene begins here any more")
	d.press("pgdown")
	d.sees("scene 02, ")
	d.press("N")
	d.sees("scene 02 is", "Tab completes")
	d.typed("Ch").press("backspace").typed("hurch").press("enter")
	d.sees("this scene is called Church", "scene Church")
	d.press("pgup", "N").typed("chu")
	d.sees("Church", "scene 02 of this job")
	d.press("tab", "esc")
	if s, _, _ := d.desk.SceneHere(); s.Name != "01" {
		t.Errorf("Esc names it %s", s.Name)
	}
	d.press("N", "down", "enter")
	d.sees("this scene is called Church")
	d.press("N", "ctrl+u", "enter")
	d.sees("called 01 again")
}

// The review page says where the job stands, found out anew each time it is opened.
func TestReviewSaysWhereTheJobStands(t *testing.T) {
	o, asked := asItIs, 0
	o.Stands = func(context.Context) []string {
		asked++
		return []string{"way: prepared; to come: decided", fmt.Sprintf("next: asked %d", asked)}
	}
	d := driveAs(t, grouped(t, demoFrames, "3 3 | 2 1 | 4"), 120, 40, Options{}, o)
	if asked != 0 {
		t.Error("it is found out before anybody asks")
	}
	d.press("R")
	d.sees("before handoff", "way: prepared; to come: decided", "next: asked 1")
	d.press("esc", "R")
	d.sees("next: asked 2")
}

// The review page, walking one of its lines, and back.
func TestReviewPage(t *testing.T) {
	d := drive(t, grouped(t, demoFrames, "3 3 | 2 1 | 4"), 120, 40, Options{})
	d.press("w", "d", "R")
	d.sees("before handoff: 0 of 24 kept", "to look at", "never shown", "scene", "hour", "body")
	if d.m.View() == "" || !d.m.covered() {
		t.Error("the picture is not covered")
	}
	d.press("k") // decides nothing there
	line := -1
	for i, l := range d.m.review.page.Lines {
		if strings.Contains(l.Text, "never shown") {
			line = i
		}
	}
	for range line {
		d.press("down")
	}
	d.press("enter")
	d.sees("review: ", "1 of 2")
	d.press("k")
	d.sees("2 of 2")
	d.press("right")
	d.sees("this is the last moment of")
	d.press("R")
	if _, _, _, ok := d.desk.Shown(); ok || d.m.review == nil {
		t.Error("R does not lead back to the page")
	}
	d.press("esc")
	if d.m.review != nil {
		t.Error("Esc does not close it")
	}
	if got := decided(d); len(got) != 3 {
		t.Errorf("decided %v", got)
	}
	d.press("R", "enter", "esc")
	if _, _, _, ok := d.desk.Shown(); ok {
		t.Error("Esc does not show all again")
	}
}

// The station begins on a line of the review.
func TestBeginOnALine(t *testing.T) {
	so := asItIs
	so.On = "open"
	d := driveAs(t, grouped(t, demoFrames, "3 3 | 2"), 120, 40, Options{}, so)
	d.sees("review: ", "of 24")
	d.close()
	for _, on := range []string{"nonsense", "open:7", "unseen"} {
		so.On = on
		if _, err := station.Open(d.job, so); err == nil {
			t.Errorf("%s is something to begin on", on)
		}
	}
}

// Everything about groups, in the sizes that count, with colour and without.
func TestGroupScreens(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes of painting under the race detector")
	}
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		for _, colour := range []bool{true, false} {
			name := fmt.Sprintf("%dx%d_%s", size[0], size[1], map[bool]string{true: "colour", false: "none"}[colour])
			t.Run(name, func(t *testing.T) {
				so := station.Options{Goal: 12, AsItIs: true}
				d := driveAs(t, grouped(t, demoFrames, "2a 1a 3a | 4s 1 | 3 2"), size[0], size[1], Options{NoColor: !colour}, so)
				var b strings.Builder
				shot := func(title string) { fmt.Fprintf(&b, "== %s\n%s\n", title, d.masked()) }
				shot("look-alikes")
				d.press("d", "a")
				shot("one dropped, the key of look-alikes")
				d.press("f")
				shot("the fan of look-alikes")
				d.press("esc", "A")
				shot("let go")
				d.press("u", "pgdown")
				shot("taken back, then another scene: a series")
				d.press("k")
				shot("merged")
				d.press("j")
				shot("joined")
				d.press("N").typed("Ch")
				shot("naming a scene")
				d.press("enter", "pgup", "N")
				shot("naming another one")
				d.press("esc", "R")
				shot("the review page")
				d.press("down", "enter")
				shot("a line of it alone")
				compare(t, filepath.Join("testdata", "groups_"+name+".golden"), b.String())
			})
		}
	}
}
