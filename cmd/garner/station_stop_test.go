//go:build linux || darwin

package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"garner/cull"
	"garner/testdata/testjob"
	"garner/testdata/testterm"
)

// shotLine is the trace's line of a picture that is on the screen.
var shotLine = regexp.MustCompile(`(?m)^picture (\d+) whole`)

// The terminal stands still for five seconds, as under SIGSTOP: it reads nothing
// and answers nothing. The key for the frame that was on the screen counts and is
// on the disk before the terminal goes on; all later keys are for frames that
// nobody has seen, and decide nothing, whether they come while it stands or all at
// once when it goes on. Afterwards nothing is drawn out of order.
func TestStationStoppedTerminal(t *testing.T) {
	dir := testjob.Many(t, 60)
	for name, a := range map[string]testterm.Answerer{"kitty": testterm.Kitty(), "xterm": testterm.XTerm()} {
		for _, later := range []bool{false, true} {
			how := "typed while it stands"
			if later {
				how = "typed when it goes on"
			}
			t.Run(name+" "+how, func(t *testing.T) {
				t.Parallel()
				own := filepath.Join(t.TempDir(), "job")
				if err := os.CopyFS(own, os.DirFS(dir)); err != nil {
					t.Fatal(err)
				}
				traced := filepath.Join(t.TempDir(), "trace")
				r := testterm.Setup{Cols: 100, Rows: 30, Answerer: a, Env: []string{asProgram, "USER=anna", "GARNER_TRACE=" + traced}}.Start(t, os.Args[0], "cull", own)
				frameIs(r, 1)
				r.WaitFor(func(g *testterm.Grid) bool { return middleIs(g, testjob.ManyColour(0)) })

				r.Stop()
				var strokes []testterm.Stroke
				for i := range 16 {
					at := time.Duration(i) * 310 * time.Millisecond
					if later {
						at = 5 * time.Second
					}
					strokes = append(strokes, testterm.Stroke{At: at, Key: string("kdko"[i%4])})
				}
				r.Schedule(strokes...).Wait()
				if !later {
					if got := decidedIn(t, own); len(got) != 1 {
						t.Errorf("%d frames decided while the terminal stood still, want the one that had been seen", len(got))
					}
				}
				r.Continue()
				frameIs(r, 2)
				r.WaitFor(func(g *testterm.Grid) bool { return middleIs(g, testjob.ManyColour(1)) })
				got := decidedIn(t, own)
				if len(got) != 1 {
					t.Errorf("%d frames decided, want the one that had been seen", len(got))
				}
				for _, d := range got {
					if d.Answer != cull.Yes {
						t.Errorf("the frame that had been seen is %v", d.Answer)
					}
				}
				r.Key("d")
				frameIs(r, 3)
				r.WaitFor(func(g *testterm.Grid) bool { return middleIs(g, testjob.ManyColour(2)) })
				leave(t, r)
				inOrder(t, traced)
			})
		}
	}
}

// inOrder checks that pictures came onto the screen in the order in which they
// were asked for.
func inOrder(t *testing.T, traced string) {
	t.Helper()
	b, err := os.ReadFile(traced)
	if err != nil {
		t.Fatal(err)
	}
	last := -1
	for _, m := range shotLine.FindAllStringSubmatch(string(b), -1) {
		n, _ := strconv.Atoi(m[1])
		if n <= last {
			t.Errorf("picture %d came onto the screen after picture %d", n, last)
		}
		last = n
	}
	if last < 0 {
		t.Error("no picture was traced")
	}
}
