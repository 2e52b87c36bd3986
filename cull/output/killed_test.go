package output

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// rounds is how often the kill loop runs: GARNER_KILL_ROUNDS, else few enough for every
// test run.
func rounds() int {
	if n, err := strconv.Atoi(os.Getenv("GARNER_KILL_ROUNDS")); err == nil {
		return n
	}
	return 6
}

// Killed at any time, the next run ends in what an undisturbed one makes, names and all.
// Every other kill is at one of the steps that a run takes on the disk, the rest come
// from outside at any time of it.
func TestKilled(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))

	const names = "lab online screen proofs"
	b := newBench(t)
	sets, _ := Choose(Sets(b.settings), strings.Fields(names))
	for i := range 4 {
		b.put(fmt.Sprintf("%d/same.jpg", i), finishedPicture(t, i, day(18-i), "1001"))
	}
	render := func(killAt int) *exec.Cmd {
		c := child(t, b.dir, killAt)
		c.Env = append(c.Env, "GARNER_TEST_SETS="+names)
		return c
	}
	began := time.Now()
	out, err := render(0).CombinedOutput()
	took := time.Since(began)
	steps, _ := strconv.Atoi(string(bytes.TrimSpace(out)))
	if err != nil || steps < 50 {
		t.Fatalf("an undisturbed run: %v: %s", err, out)
	}
	want := b.tree()

	kills, inside := 0, 0
	for try := 0; kills < rounds() && try < 4*rounds(); try++ {
		if err := os.RemoveAll(filepath.Join(b.dir, SetsFolder)); err != nil {
			t.Fatal(err)
		}
		at, after := 0, time.Duration(0)
		if kills%2 == 0 {
			at = 1 + random.IntN(steps)
		} else {
			after = time.Duration(random.Int64N(int64(took)))
		}
		what := fmt.Sprintf("killed at step %d, or after %v", at, after)
		if !killed(t, render(at), after) {
			continue // it came to its end before
		}
		kills++
		there := 0
		for path, data := range b.tree() {
			if path != LedgerName && !strings.HasSuffix(path, ".garner-partial") {
				if there++; data != want[path] {
					t.Fatalf("%s: %s is not whole", what, path)
				}
			}
		}
		if there > 0 && there < len(want)-1 {
			inside++
		}
		b.must(Options{Sets: sets})
		if got := b.tree(); !maps.Equal(got, want) {
			t.Fatalf("%s: %v, wanted %v", what, slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(want)))
		}
	}
	t.Logf("%d kills, %d of them in the middle of the files; %d steps, %v", kills, inside, steps, took)
	if kills < rounds() {
		t.Errorf("only %d kills", kills)
	}
}

// child is this binary as a program that cuts the sets of a job.
func child(t *testing.T, dir string, killAt int) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self)
	c.Env = append(os.Environ(), "GARNER_TEST_RENDER="+dir, fmt.Sprint("GARNER_TEST_KILL_AT=", killAt))
	return c
}

// killed starts a program and kills it after some time, unless it does so itself; false
// if it came to its end.
func killed(t *testing.T, c *exec.Cmd, after time.Duration) bool {
	t.Helper()
	var out bytes.Buffer
	c.Stdout, c.Stderr = &out, &out
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	if after > 0 {
		timer := time.AfterFunc(after, func() { _ = c.Process.Kill() })
		defer timer.Stop()
	}
	err := c.Wait()
	var exit *exec.ExitError
	if err != nil && (!errors.As(err, &exit) || exit.ExitCode() == 1 && out.Len() > 0) {
		t.Fatalf("%v: %s", err, out.String())
	}
	return err != nil
}
