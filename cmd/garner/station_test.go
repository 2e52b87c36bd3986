//go:build linux || darwin

package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/testdata/testjob"
	"garner/testdata/testterm"
)

const stationFrames = 24

// sitDown starts the station on a prepared job and waits for the first picture.
func sitDown(t *testing.T, dir string, a testterm.Answerer, args ...string) *testterm.Run {
	t.Helper()
	r := testterm.Setup{Cols: 100, Rows: 30, Answerer: a, Env: []string{asProgram, "USER=anna"}}.
		Start(t, append([]string{os.Args[0], "cull", dir}, args...)...)
	r.WaitText(`(keep|merge)\?.* 1 of \d+`)
	return r
}

// frameIs waits until frame n is asked about, which is when it is on the screen.
func frameIs(r *testterm.Run, n int) { r.WaitText(fmt.Sprintf(`(keep|merge)\?.* %d of \d+`, n)) }

// leave quits and checks that the terminal is as it was.
func leave(t *testing.T, r *testterm.Run) {
	t.Helper()
	r.Key("q")
	if code, _ := r.Exit(); code != 0 {
		t.Errorf("exit code %d:\n%s", code, r.Text())
	}
	if err := r.Snapshot().Clean(); err != nil {
		t.Errorf("left behind: %v", err)
	}
	if c := r.Snapshot().Complaints(); len(c) > 0 {
		t.Errorf("the terminal complains: %v", c)
	}
}

// decidedIn returns the frames that are decided in the pass keep.
func decidedIn(t *testing.T, dir string) map[cull.ID]cull.Decision {
	t.Helper()
	j, err := job.Open(dir, job.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	all, err := j.Decisions(cull.KeepPass)
	if err != nil {
		t.Fatal(err)
	}
	for id, d := range all {
		if d.Answer == cull.Open {
			delete(all, id)
		}
	}
	return all
}

func TestStationOnTerminals(t *testing.T) {
	deaf := testterm.Answerer{Deaf: true}
	for name, a := range map[string]testterm.Answerer{"kitty": testterm.Kitty(), "xterm": testterm.XTerm(), "deaf": deaf} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := testjob.Demo(t, stationFrames, true)
			r := sitDown(t, dir, a)
			r.Key("k")
			frameIs(r, 2)
			r.Key("d") // a bracket: all of it
			frameIs(r, 5)
			r.Key("u")
			frameIs(r, 2)
			r.Resize(80, 24)
			frameIs(r, 2)
			r.Key("?")
			r.WaitText("goes back")
			r.Key("x")
			frameIs(r, 2)
			leave(t, r)
			if got := decidedIn(t, dir); len(got) != 1 {
				t.Errorf("decided %v", got)
			}
		})
	}
}

// A key held for two seconds decides once, whatever the system's delay is.
func TestStationHeldKey(t *testing.T) {
	delays := []int{250, 500, 660}
	if testing.Short() {
		delays = delays[1:2]
	}
	for _, delay := range delays {
		for name, a := range map[string]testterm.Answerer{"xterm": testterm.XTerm(), "kitty": testterm.Kitty()} {
			t.Run(fmt.Sprintf("%s %d ms", name, delay), func(t *testing.T) {
				t.Parallel()
				dir := testjob.Demo(t, stationFrames, true)
				r := sitDown(t, dir, a)
				late := r.Schedule(testterm.Held("k", time.Duration(delay)*time.Millisecond, 33*time.Millisecond, 2*time.Second)...).Wait()
				frameIs(r, 2)
				leave(t, r)
				if got := decidedIn(t, dir); len(got) != 1 {
					t.Errorf("%d frames decided by a held key; strokes were late by up to %v", len(got), latest(late))
				}
			})
		}
	}
}

func latest(late []time.Duration) (most time.Duration) {
	for _, d := range late {
		most = max(most, d)
	}
	return most
}

// The terminal keeps its fences back for five seconds: what is typed meanwhile
// decides nothing that could not be seen, and afterwards all goes on.
func TestStationWithheldFence(t *testing.T) {
	t.Parallel()
	dir := testjob.Demo(t, stationFrames, true)
	r := sitDown(t, dir, testterm.XTerm())
	r.Withhold(true)
	r.Key("k") // the frame that was seen
	var strokes []testterm.Stroke
	for i := range 15 {
		strokes = append(strokes, testterm.Stroke{At: time.Duration(i+1) * 310 * time.Millisecond, Key: string("kdo"[i%3])})
	}
	r.Schedule(strokes...).Wait()
	if got := decidedIn(t, dir); len(got) != 1 {
		t.Errorf("%d frames decided, want the one that had been seen", len(got))
	}
	r.Release()
	frameIs(r, 2)
	r.Key("up") // what is typed in one go with keys that decided nothing does not decide a whole series
	r.Key("k")  // a bracket is merged
	frameIs(r, 5)
	leave(t, r)
	if got := decidedIn(t, dir); len(got) != 1+3 {
		t.Errorf("%d frames decided after the fences came, want 4", len(got))
	}
}

var keptOnScreen = regexp.MustCompile(`kept (\d+)`)

// Killed at any time: what the screen had shown as kept is kept.
func TestStationKilled(t *testing.T) {
	rounds := 6
	if testing.Short() {
		rounds = 2
	}
	if n, err := strconv.Atoi(os.Getenv("GARNER_KILL_ROUNDS")); err == nil {
		rounds = n
	}
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 1))
	dir := testjob.Demo(t, stationFrames, true)
	for range rounds {
		r := testterm.Setup{Cols: 100, Rows: 30, Answerer: testterm.XTerm(), Env: []string{asProgram, "USER=anna"}}.Start(t, os.Args[0], "cull", dir)
		r.WaitText(`(keep|merge)\?`)
		if len(decidedIn(t, dir)) > stationFrames-6 {
			break
		}
		var strokes []testterm.Stroke
		for i := range 8 {
			strokes = append(strokes, testterm.Stroke{At: time.Duration(i*150) * time.Millisecond, Key: string("kkkw"[random.IntN(4)])})
		}
		typing := r.Schedule(strokes...)
		wait := time.NewTimer(time.Duration(random.IntN(1200)) * time.Millisecond)
		<-wait.C
		text := r.Text() // before the end: what is shown is kept
		r.Signal(syscall.SIGKILL)
		r.Exit()
		typing.Wait()
		r.WaitText("stopped from outside")
		if err := r.Snapshot().Clean(); err != nil {
			t.Errorf("left behind: %v", err)
		}
		m := keptOnScreen.FindStringSubmatch(text)
		if m == nil {
			continue // a picture of help, or of the burst key
		}
		shown, _ := strconv.Atoi(m[1])
		kept := 0
		for _, d := range decidedIn(t, dir) {
			if d.Answer == cull.Yes {
				kept++
			}
		}
		if kept < shown {
			t.Fatalf("the screen showed %d kept, the disk has %d:\n%s", shown, kept, text)
		}
		if out := outputOf(t, "verify", dir); strings.Contains(out, "damaged") {
			t.Error(out)
		}
	}
}

func TestStationTerminated(t *testing.T) {
	for name, s := range map[string]os.Signal{"SIGTERM": syscall.SIGTERM, "SIGINT": os.Interrupt} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := testjob.Demo(t, stationFrames, true)
			r := sitDown(t, dir, testterm.Kitty())
			r.Key("k")
			frameIs(r, 2)
			r.Signal(s)
			if code, signal := r.Exit(); code != exitInterrupted {
				t.Errorf("exit code %d, signal %v, want %d:\n%s", code, signal, exitInterrupted, r.Text())
			}
			if err := r.Snapshot().Clean(); err != nil {
				t.Errorf("left behind: %v", err)
			}
			if got := decidedIn(t, dir); len(got) != 1 {
				t.Errorf("decided %v", got)
			}
		})
	}
}

// The window is closed: the decisions are there, and the job can be opened again
// at once.
func TestStationHangup(t *testing.T) {
	t.Parallel()
	dir := testjob.Demo(t, stationFrames, true)
	r := sitDown(t, dir, testterm.XTerm())
	r.Key("k")
	frameIs(r, 2)
	r.Hangup()
	r.Exit()
	if got := decidedIn(t, dir); len(got) != 1 {
		t.Errorf("decided %v", got)
	}
	again := testterm.Setup{Cols: 100, Rows: 30, Answerer: testterm.XTerm(), Env: []string{asProgram}}.Start(t, os.Args[0], "cull", dir)
	frameIs(again, 2)
	leave(t, again)
}

// A second person on the same job is told who has it.
func TestStationIsTaken(t *testing.T) {
	t.Parallel()
	dir := testjob.Demo(t, stationFrames, true)
	r := sitDown(t, dir, testterm.XTerm())
	other := testterm.Setup{Answerer: testterm.XTerm(), Env: []string{asProgram, "USER=ben"}}.Start(t, os.Args[0], "cull", dir)
	if code, _ := other.Exit(); code != exitFailed {
		t.Errorf("exit code %d", code)
	}
	if text := other.Text(); !strings.Contains(text, "cull") || !strings.Contains(text, "hint") {
		t.Errorf("it says:\n%s", text)
	}
	leave(t, r)
}

func TestStationOnAnUnpreparedFolder(t *testing.T) {
	t.Parallel()
	dir := testjob.Demo(t, stationFrames, false)
	r := testterm.Setup{Cols: 100, Rows: 30, Answerer: testterm.Kitty(), Env: []string{asProgram}}.Start(t, os.Args[0], "cull", dir)
	frameIs(r, 1)
	r.Key("k")
	frameIs(r, 2)
	leave(t, r)
	if got := decidedIn(t, dir); len(got) != 1 {
		t.Errorf("decided %v", got)
	}
}

func TestDemoOpensTheStation(t *testing.T) {
	if testing.Short() {
		t.Skip("drawing takes its time")
	}
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "demo")
	r := testterm.Setup{Cols: 100, Rows: 30, Answerer: testterm.XTerm(), Env: []string{asProgram}}.Start(t, os.Args[0], "demo", dir, "--frames", "24")
	frameIs(r, 1)
	leave(t, r)
}

// No command asks the terminal anything while it is being loaded: the answer would
// be among the keys of the next program. (Package cull/tui/quiet.)
func TestNothingIsAskedWhileLoading(t *testing.T) {
	r := testterm.Setup{Answerer: testterm.Answerer{Deaf: true}, Env: []string{asProgram}}.Start(t, os.Args[0], "--version")
	if code, _ := r.Exit(); code != 0 {
		t.Errorf("exit code %d", code)
	}
	if out := r.Output(); bytes.ContainsRune(out, 0x1b) {
		t.Errorf("garner --version wrote %q", out)
	}
}

func TestStationNeedsATerminal(t *testing.T) {
	c := garner("cull", testjob.Template(t, stationFrames, true))
	out, err := c.CombinedOutput()
	if err == nil || !strings.Contains(string(out), "needs a terminal") || !strings.Contains(string(out), "garner decide") {
		t.Errorf("%v: %s", err, out)
	}
}
