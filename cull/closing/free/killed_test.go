package free

import (
	"context"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"garner/cull/job"
)

const (
	killedJob = "GARNER_TEST_FREE_JOB"
	killedAt  = "GARNER_TEST_FREE_AT"
	killed    = 77 // exit code of a child that ended itself in the middle
)

// TestKilledChild is what TestKilled runs: it frees, and ends at an operation as a
// killed program does, without any clean-up.
func TestKilledChild(t *testing.T) {
	root := os.Getenv(killedJob)
	if root == "" {
		t.Skip("run by TestKilled")
	}
	at, err := strconv.Atoi(os.Getenv(killedAt))
	must(t, err)
	j, err := job.Open(root, job.Options{Who: "test"})
	must(t, err)
	w := &watch{}
	w.before = func(n int, _, _ string) error {
		if n == at {
			os.Exit(killed)
		}
		return nil
	}
	work, err := Look(context.Background(), j, w.through(ordinary()))
	must(t, err)
	_, err = work.Free(context.Background())
	must(t, err)
	must(t, j.Close())
}

// Freeing is killed before an operation on the disk, one after the other: at every
// instant each frame has its original or its small picture in every place, and the next
// run ends as one that was not killed. GARNER_KILL_ROUNDS asks for every operation,
// where otherwise it is those that change something for the first original.
func TestKilled(t *testing.T) {
	for _, at := range whenToKill(t) {
		w := married(t)
		c := exec.Command(os.Args[0], "-test.run=^TestKilledChild$")
		c.Env = append(os.Environ(), killedJob+"="+w.root, killedAt+"="+strconv.Itoa(at))
		out, err := c.CombinedOutput()
		if c.ProcessState.ExitCode() != killed {
			t.Fatalf("operation %d: the child ended with %v:\n%s", at, err, out)
		}
		w.nothingLost("killed", at)
		_, _, err = w.free(ordinary())
		must(t, err)
		// An original that lay aside is found by the first run and freed by the second.
		if sum, _, err := w.free(ordinary()); err != nil || len(sum.Stayed) != 0 {
			t.Fatalf("killed at operation %d, then: %+v, %v", at, sum, err)
		}
		w.nothingLost("killed, and done again", at)
		is := w.tree(w.root)
		for p := range is {
			if slices.Contains(mayGo, p) || strings.HasSuffix(p, ".garner-freeing") || strings.HasSuffix(p, "partial") {
				t.Fatalf("killed at operation %d: %s is there in the end", at, p)
			}
		}
		if len(is) != len(w.was) {
			t.Fatalf("killed at operation %d: %d files in the end, %d before", at, len(is), len(w.was))
		}
	}
}

// whenToKill watches a run that is let be, and says at which of its operations to end
// the others.
func whenToKill(t *testing.T) (at []int) {
	w, seen := married(t), &watch{}
	removed, done := false, false // the first original
	seen.before = func(n int, op, path string) error {
		if done && os.Getenv("GARNER_KILL_ROUNDS") == "" {
			return nil // all of the first original has been seen
		}
		switch op {
		case "create", "write", "sync", "rename", "remove", "sync folder":
			at = append(at, n)
		default:
			if os.Getenv("GARNER_KILL_ROUNDS") != "" && len(at) > 0 {
				at = append(at, n)
			}
		}
		done = done || removed && op == "sync folder"
		removed = removed || op == "remove" && strings.HasPrefix(path, "A/")
		return nil
	}
	_, _, err := w.free(seen.through(ordinary()))
	must(t, err)
	if len(at) < 8 || !done {
		t.Fatalf("only %d operations of an original are watched", len(at))
	}
	t.Logf("%d of %d operations", len(at), seen.n)
	return at
}

func (w *wedding) nothingLost(when string, n int) {
	w.t.Helper()
	if faults := w.lost(); len(faults) > 0 {
		w.t.Fatalf("%s (operation %d): %s", when, n, strings.Join(faults, "; "))
	}
}
