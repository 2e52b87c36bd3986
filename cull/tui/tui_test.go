package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/cull"
	"garner/cull/station"
	"garner/preview/term"
	"garner/testdata/testjob"
)

// demo is a small wedding. Its bracket is a burst, since a series is decided as one:
// tests of series make them.
func demo(t testing.TB) string {
	dir := testjob.Demo(t, demoFrames, true)
	regroup(t, dir, noSeries)
	return dir
}

func noSeries(l *cull.Layout) {
	for i := range l.Places {
		if l.Places[i].Kind == cull.Series {
			l.Places[i].Kind, l.Places[i].Series = cull.Burst, ""
		}
	}
}

func decided(d *driver) map[cull.ID]cull.Decision {
	d.t.Helper()
	all, err := d.job.Decisions(cull.KeepPass)
	if err != nil {
		d.t.Fatal(err)
	}
	for id, dec := range all {
		if dec.Answer == cull.Open {
			delete(all, id)
		}
	}
	return all
}

func TestKeysDecide(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	d.sees("keep?", "1 of 24")
	d.press("k", "d")
	if got := decided(d); len(got) != 2 {
		t.Fatalf("decided %v", got)
	}
	d.sees("3 of 24", "dropped", "u takes it back")
	d.press("u")
	if got := decided(d); len(got) != 1 {
		t.Errorf("decided after undo: %v", got)
	}
	d.sees("2 of 24")
}

// While the terminal answers no fence, no key decides, and each says why.
func TestWithheldFence(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	d.withhold = true
	d.press("right")
	d.press("k", "d", "o", "k")
	d.sees("not on the screen yet")
	if got := decided(d); len(got) != 0 {
		t.Fatalf("decided %v while nothing could be seen", got)
	}
	d.withhold = false
	d.landed(d.desk.Shot().ID, term.Drawn) // it comes at last
	d.press("k")
	if got := decided(d); len(got) != 1 {
		t.Errorf("decided %v", got)
	}
}

func TestBurstKeyWaits(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	d.toBurst(3)
	d.press("w")
	d.sees("whole burst: k or d")
	d.press("right")
	d.sees("after w only k or d decide")
	if got := decided(d); len(got) != 0 {
		t.Fatalf("decided %v", got)
	}
	d.press("w", "esc")
	d.sees("the burst stays as it is")
	_, rungs := d.desk.Moment()
	d.press("w", "d")
	if got := decided(d); len(got) != len(rungs) {
		t.Errorf("%d decided of a burst of %d", len(got), len(rungs))
	}
	d.sees("never shown")
}

// Keys that came in one read were typed before anything new could be seen.
func TestKeysOfOneRead(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	at := d.now
	for _, k := range []string{"k", "d", "k", "d"} {
		d.send(keyMsg(term.Key{Name: k, Text: k, At: at}))
	}
	if got := decided(d); len(got) > 1 {
		t.Errorf("%d frames decided by keys of one instant", len(got))
	}
}

// Held keys do what they do once: the burst key still waits, the field that a key
// opened stays empty.
func TestOtherHeldKeys(t *testing.T) {
	hold := func(d *driver, key string) {
		begin := d.now.Add(time.Second)
		for _, ms := range []int{0, 500, 533, 566, 600, 633} {
			d.now = begin.Add(time.Duration(ms) * time.Millisecond)
			d.key(key)
		}
	}
	d := drive(t, demo(t), 120, 40, Options{})
	d.toBurst(3)
	_, rungs := d.desk.Moment()
	hold(d, "w")
	d.press("d")
	if got := decided(d); len(got) != len(rungs) {
		t.Errorf("w held, then d: %d decided of a burst of %d", len(got), len(rungs))
	}
	hold(d, ":")
	if g := d.m.field; g == nil || len(g.text) > 0 {
		t.Error("the key that opens the field types into it")
	}
}

// A terminal that refuses every picture gets half blocks, and is told about.
func TestRefusedPictures(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{Picture: "kitty"})
	for i := 0; i < 5 && d.m.pictures.mode != term.Blocks; i++ {
		d.m.Update(landedMsg{ID: d.desk.Shot().ID, State: term.Failed, Err: term.ErrRefused})
		d.settle()
	}
	if d.m.pictures.mode != term.Blocks {
		t.Errorf("still %v", d.m.pictures.mode)
	}
	d.sees("shows no pictures after all")
	d.press("k")
	if got := decided(d); len(got) != 1 {
		t.Errorf("decided %v", got)
	}
}

// A terminal that was taken for deaf and then answers is asked again.
func TestNotDeafAfterAll(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	d.m.pictures.fenced, d.withhold = false, true
	d.send(timerMsg{what: deaf})
	if !d.m.pictures.noFence {
		t.Fatal("it is waited for after eight seconds")
	}
	d.landed(1, term.Drawn) // the first picture's fence, at last
	d.settle()
	d.press("right", "k")
	if got := decided(d); len(got) != 0 {
		t.Errorf("decided %v by a write that returned", got)
	}
}

func TestBurstKeysOnALoneFrame(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	for _, rungs := d.desk.Moment(); len(rungs) > 1; _, rungs = d.desk.Moment() {
		d.press("right")
	}
	d.press("w")
	d.sees("a moment of its own")
	d.press("o")
	if got := decided(d); len(got) != 0 {
		t.Errorf("decided %v", got)
	}
}

func TestGoTo(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	d.press(":").typed("7")
	d.sees("go to 7")
	d.press("enter")
	d.sees("7 of 24")
	d.press(":").typed("no such").press("enter")
	d.sees("nothing in this job fits")
	d.press(":").typed("k").press("backspace", "esc")
	if got := decided(d); len(got) != 0 {
		t.Errorf("what was typed in the field decided %v", got)
	}
	d.press(":")
	d.send(pasteMsg(term.Paste{Text: "12\x1b[31m\n", At: d.now}))
	d.press("enter")
	if strings.Contains(d.grid.Text(), "12 of 24") == false {
		d.sees("nothing in this job fits") // the escape is dropped, what is left is no number
	}
}

func TestPastedTextDecidesNothing(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	d.send(pasteMsg(term.Paste{Text: "kkkkdddd", At: d.now}))
	d.sees("pasted text decides nothing")
	if got := decided(d); len(got) != 0 {
		t.Errorf("decided %v", got)
	}
}

// The key that closes the help decides nothing.
func TestHelp(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	d.press("?")
	d.sees("keys", "next open frame", "any key goes back")
	d.press("k")
	d.sees("keep?")
	if got := decided(d); len(got) != 0 {
		t.Errorf("decided %v", got)
	}
	d.press("k")
	if got := decided(d); len(got) != 1 {
		t.Errorf("after the help k decided %v", got)
	}
}

// A decision that the disk refused stops the person: the dialog swallows what is
// being typed until the input is quiet.
func TestRefusedByTheDisk(t *testing.T) {
	dir := demo(t)
	d := drive(t, dir, 120, 40, Options{})
	if err := os.Rename(filepath.Join(dir, ".garner"), filepath.Join(dir, ".away")); err != nil {
		t.Fatal(err)
	}
	d.press("k")
	d.sees("NOT kept", "Enter")
	for range 5 { // keys that were under way
		d.now = d.now.Add(100 * time.Millisecond)
		d.key("enter")
	}
	d.sees("NOT kept")
	d.now = d.now.Add(time.Second)
	d.key("enter")
	d.sees("keep?", "1 of 24")
	os.RemoveAll(filepath.Join(dir, ".garner"))
	if err := os.Rename(filepath.Join(dir, ".away"), filepath.Join(dir, ".garner")); err != nil {
		t.Fatal(err)
	}
	if got := decided(d); len(got) != 0 {
		t.Errorf("decided %v", got)
	}
	d.press("k")
	if got := decided(d); len(got) != 1 {
		t.Errorf("after it was put right k decided %v", got)
	}
}

func TestResize(t *testing.T) {
	d := drive(t, demo(t), 200, 60, Options{})
	for _, size := range [][2]int{{120, 40}, {80, 24}, {30, 8}, {200, 60}, {40, 12}, {1, 1}, {80, 24}} {
		d.resize(size[0], size[1])
		if d.m.at.small {
			d.press("k")
			continue
		}
		d.sees("1 of 24")
	}
	if got := decided(d); len(got) != 0 {
		t.Errorf("decided %v on a screen too small for a picture", got)
	}
}

func TestOwnKeys(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{Keys: map[string][]string{"keep": {"space", "enter"}, "go-to": {"g"}, "loupe": {"z"}}})
	d.press("k")
	d.sees("k does nothing here")
	d.press("space", "enter")
	if got := decided(d); len(got) != 2 {
		t.Errorf("decided %v", got)
	}
	d.press("?")
	d.sees("Space", "Enter")
	for name, keys := range map[string]map[string][]string{
		"two things": {"drop": {"k"}}, "no action": {"fly": {"f"}}, "no key": {"keep": {}}, "cannot be given": {"keep": {"ctrl+c"}},
	} {
		if _, err := newKeymap(keys, bindings()); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%v: %v, want something with %q", keys, err, name)
		}
	}
}

// A later pass asks its question large, and the top line says so in every size.
func TestLaterPassIsUnmistakable(t *testing.T) {
	sizes := [][2]int{{80, 16}, {80, 24}, {200, 60}}
	if testing.Short() {
		sizes = sizes[:1]
	}
	for _, size := range sizes {
		d := driveAs(t, demo(t), size[0], size[1], Options{}, station.Options{Questions: map[string]string{"review": "Is it still in?"}})
		d.press("k", "k", "tab")
		d.sees("Is it still in?", "1 of 2")
		d.press("d")
		d.sees("2 of 2")
	}
}

// Pictures leave at once, text with the renderer's next tick: whichever is first,
// the screen ends up the same, and neither covers the other.
func TestTextAndPictureDoNotMeet(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes of painting under the race detector")
	}
	keys := []string{"right", "right", "right", "i", "right", "i", "?", "x", "down", ":", "esc", "k", "d", "left", "pgdown", "t", "tab", "?", "x", "pgup",
		"f", "right", "k", "right", "d", "i", "down", "?", "x", "i", "pgdown", "t", "o", "u", "f", "f", "right", "esc"}
	var screens [2]string
	for i, textFirst := range []bool{false, true} {
		d := drive(t, demo(t), 120, 40, Options{})
		d.textFirst = textFirst
		var b strings.Builder
		for _, k := range keys {
			d.press(k)
			b.WriteString("== " + k + "\n" + d.grid.Text() + "\n")
		}
		if c := d.grid.Complaints(); len(c) > 0 {
			t.Errorf("the terminal complains: %v", c)
		}
		screens[i] = b.String()
	}
	if screens[0] != screens[1] {
		t.Errorf("it depends on what comes first:\n%s", difference(screens[0], screens[1]))
	}
}

// Random keys and events: the screen always shows the frame that the desk is on,
// every line fits, and nothing that was not drawn is decided.
func TestRandomSitting(t *testing.T) {
	if testing.Short() {
		t.Skip("the desk's random keys are enough for the race detector")
	}
	template := testjob.Template(t, demoFrames, true)
	keys := []string{"k", "d", "w", "o", "u", "r", "left", "right", "up", "down", "n", "pgup", "pgdown", ":", "tab", "t", "i", "?", "esc", "enter", "x", "7",
		"space", "space", "shift+left", "shift+right", "shift+up", "shift+down", "f", "f", "F"}
	rapid.Check(t, func(rt *rapid.T) {
		dir := filepath.Join(t.TempDir(), "job")
		os.RemoveAll(dir)
		if err := os.CopyFS(filepath.Join(dir, ".garner"), os.DirFS(filepath.Join(template, ".garner"))); err != nil {
			rt.Fatal(err)
		}
		for _, sub := range []string{"A", "B", "C"} { // for the loupe, read only
			if err := os.Symlink(filepath.Join(template, sub), filepath.Join(dir, sub)); err != nil {
				rt.Skip("no links here")
			}
		}
		sit := driveAs
		if rapid.Bool().Draw(rt, "single pixels") {
			sit = driveKittyAs
		}
		d := sit(t, dir, 90, 30, Options{}, station.Options{Pass: rapid.SampledFrom([]string{"", "", cull.RescuePass}).Draw(rt, "pass")})
		defer d.close()
		seen := map[cull.ID]bool{}
		see := func() {
			if s := d.desk.Shot(); !d.m.covered() && !d.withhold && s.Whole && !d.desk.Waiting() {
				seen[s.Frame] = true
			}
		}
		see()
		for range rapid.IntRange(1, 40).Draw(rt, "events") {
			switch rapid.SampledFrom([]string{"key", "key", "key", "key", "resize", "fence"}).Draw(rt, "event") {
			case "key":
				d.now = d.now.Add(time.Duration(rapid.SampledFrom([]int{20, 150, 600, 3000}).Draw(rt, "after")) * time.Millisecond)
				d.key(rapid.SampledFrom(keys).Draw(rt, "key"))
			case "resize":
				size := rapid.SampledFrom([][2]int{{90, 30}, {60, 20}, {20, 5}, {90, 30}}).Draw(rt, "size")
				d.resize(size[0], size[1])
			case "fence":
				d.withhold = !d.withhold
				if !d.withhold {
					d.landed(d.desk.Shot().ID, term.Drawn)
				}
			}
			see()
			if s := d.desk.Shot(); s.Loupe != nil && s.Whole && s.Loupe.Why == "" && s.Loupe.Part.Empty() {
				rt.Fatalf("nothing is seen close and it counts: %+v", s.Loupe)
			}
			if c := d.grid.Complaints(); len(c) > 0 {
				rt.Fatalf("the terminal complains: %v", c)
			}
			for i, line := range strings.Split(d.m.View(), "\n") {
				if w := lineWidth(line); w > d.m.width {
					rt.Fatalf("line %d is %d wide on %d: %q", i, w, d.m.width, line)
				}
			}
		}
		entries, err := d.job.Entries()
		if err != nil {
			rt.Fatal(err)
		}
		for _, e := range entries {
			for _, c := range e.Changes {
				if c.Explicit && c.After != cull.Open && (e.Verb == cull.VerbAnswer || e.Verb == cull.VerbOnly) && !seen[c.Frame] {
					rt.Fatalf("entry %d decides %s, which had not been seen", e.Seq, c.Frame)
				}
			}
		}
	})
}
