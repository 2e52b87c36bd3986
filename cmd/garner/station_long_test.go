//go:build linux || darwin

package main

import (
	"fmt"
	"image/color"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"garner/testdata/testjob"
	"garner/testdata/testterm"
)

// memoryLine is one of the trace's, see cull/tui.
var memoryLine = regexp.MustCompile(`memory after (\d+) s: live heap (\d+), resident (\d+), goroutines (\d+)`)

// A walk key held for 20 s over 600 different frames ends on the frame where so
// many events end, with that frame's picture on the screen; no answer of the
// terminal became a key, nothing was decided, and memory is flat: the live heap
// after a collection is the same within a tenth after 5 and after 20 s.
func TestStationHeldWalk(t *testing.T) {
	if testing.Short() {
		t.Skip("holds a key for 20 s")
	}
	const frames = 620
	dir := testjob.Many(t, frames)
	for name, a := range map[string]testterm.Answerer{"kitty": testterm.Kitty(), "xterm": testterm.XTerm()} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			traced := filepath.Join(t.TempDir(), "trace")
			state := filepath.Join(t.TempDir(), "state") // each its own, so that both can run at once
			if err := os.CopyFS(state, os.DirFS(filepath.Join(dir, ".garner"))); err != nil {
				t.Fatal(err)
			}
			r := testterm.Setup{Cols: 100, Rows: 30, Answerer: a, Env: []string{asProgram, "USER=anna", "GARNER_TRACE=" + traced}}.
				Start(t, os.Args[0], "cull", dir, "--state", state)
			r.WaitText(fmt.Sprintf(`keep\?.* 1 of %d`, frames))
			strokes := testterm.Held("right", 500*time.Millisecond, time.Second/30, 20*time.Second)
			late := r.Schedule(strokes...).Wait()
			at := 1 + len(strokes) - 1 // every event but the release is a step
			frameIs(r, min(at, frames))
			r.WaitText(`(keep|merge)\?`)
			want := testjob.ManyColour(min(at, frames) - 1)
			r.WaitFor(func(g *testterm.Grid) bool { return middleIs(g, want) })
			leave(t, r)
			if got := decidedIn(t, dir); len(got) != 0 {
				t.Errorf("walking decided %v", got)
			}
			b, err := os.ReadFile(traced)
			if err != nil {
				t.Fatal(err)
			}
			heap := map[int]float64{}
			for _, m := range memoryLine.FindAllStringSubmatch(string(b), -1) {
				after, _ := strconv.Atoi(m[1])
				live, _ := strconv.ParseFloat(m[2], 64)
				resident, _ := strconv.ParseFloat(m[3], 64)
				heap[after] = live
				t.Logf("after %2d s: live heap %.1f MB, resident %.1f MB, %s goroutines", after, live/1e6, resident/1e6, m[4])
			}
			if heap[5] == 0 || heap[20] == 0 {
				t.Fatalf("memory was not measured: %v", heap)
			}
			if ratio := heap[20] / heap[5]; ratio > 1.1 || ratio < 0.9 {
				t.Errorf("live heap went from %.1f to %.1f MB; strokes were late by up to %v", heap[5]/1e6, heap[20]/1e6, latest(late))
			}
		})
	}
}

// middleIs reports whether the middle of the picture on the screen has a colour.
func middleIs(g *testterm.Grid, want color.RGBA) bool {
	cols, rows := g.Size()
	is, ok := g.ColourAt(cols*45/100, rows/2)
	near := func(a, b uint8) bool { return max(a, b)-min(a, b) < 24 }
	return ok && near(is.R, want.R) && near(is.G, want.G) && near(is.B, want.B)
}
