package job_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// destination makes a folder such as an offload leaves behind.
func destination(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	must(t, os.Mkdir(filepath.Join(dir, ".garner"), 0o777))
	return dir
}

func text(t testing.TB, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	must(t, err)
	return string(b)
}

func copied(t testing.TB, j *job.Job) {
	t.Helper()
	for _, err := range j.CopyJournals(context.Background()) {
		t.Error(err)
	}
}

// A job whose disk died comes back from the copy of its journal: whoever opens
// the other destination has every decision.
func TestALostJobComesBackFromAnotherDestination(t *testing.T) {
	dir, want := decidedJob(t)
	j := open(t, dir)
	also, gone, plain := destination(t), filepath.Join(t.TempDir(), "not mounted"), t.TempDir()
	must(t, j.SetAlso([]string{also, gone, plain}))
	copied(t, j)
	same(t, "journals", text(t, journalFile(dir)), text(t, journalFile(also)))
	for _, d := range []string{gone, filepath.Join(plain, ".garner")} {
		if _, err := os.Stat(d); !os.IsNotExist(err) {
			t.Errorf("%s was made: %v", d, err)
		}
	}
	must(t, os.RemoveAll(dir))
	back := reopened(t, also, want)
	dirs, err := back.Also()
	must(t, err)
	same(t, "destinations seen from the copy", []string{gone, plain}, dirs)
}

func TestCopiesFollow(t *testing.T) {
	j := sample(t, 4)
	also := destination(t)
	must(t, j.SetAlso([]string{also}))
	copied(t, j)
	before, err := os.Stat(journalFile(also))
	must(t, err)
	copied(t, j)
	after, err := os.Stat(journalFile(also))
	must(t, err)
	if !os.SameFile(before, after) {
		t.Error("a copy that has everything was written again")
	}
	_, err = do(t, j, session(t, j), cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(1)}, Answer: cull.Yes})
	must(t, err)
	copied(t, j)
	must(t, os.WriteFile(journalFile(also), []byte("torn"), 0o666))
	copied(t, j)
	same(t, "journals", text(t, journalFile(j.Root())), text(t, journalFile(also)))
}

// The only copy of a lost job's decisions is not replaced by the journal of the
// job that the same cards are taken into again.
func TestAForeignJournalIsKept(t *testing.T) {
	dir, _ := decidedJob(t)
	old := text(t, journalFile(dir))
	fresh := sample(t, 4)
	also := destination(t)
	must(t, os.WriteFile(journalFile(also), []byte(old), 0o666))
	must(t, os.WriteFile(filepath.Join(also, ".garner", "journal-2.txt"), []byte("taken"), 0o666))
	must(t, fresh.SetAlso([]string{also}))
	errs := fresh.CopyJournals(context.Background())
	var foreign *job.ForeignJournalError
	if len(errs) != 1 || !errors.As(errs[0], &foreign) || foreign.Aside != "journal-3.txt" || foreign.Entries != strings.Count(old, "\n") {
		t.Fatalf("%v", errs)
	}
	same(t, "the old journal", old, text(t, foreign.Path))
	same(t, "the new one", text(t, journalFile(fresh.Root())), text(t, journalFile(also)))
	copied(t, fresh)

	t.Run("where somebody decides", func(t *testing.T) {
		other, _ := decidedJob(t)
		must(t, fresh.SetAlso([]string{other}))
		for range 2 {
			errs := fresh.CopyJournals(context.Background())
			if len(errs) != 1 || !errors.As(errs[0], &foreign) || foreign.Aside != "" {
				t.Fatalf("%v", errs)
			}
		}
		same(t, "its journal", old, text(t, journalFile(other)))
	})
}

func TestMirrorJournal(t *testing.T) {
	j := sample(t, 4)
	also, broken := destination(t), destination(t)
	must(t, os.Mkdir(journalFile(broken), 0o777))
	must(t, j.SetAlso([]string{also, broken}))
	tick := make(chan time.Time)
	var told []string
	stop := j.MirrorJournal(tick, func(err error) { told = append(told, err.Error()) })
	tick <- begin
	tick <- begin // taken only after the copies of the first
	same(t, "journals", text(t, journalFile(j.Root())), text(t, journalFile(also)))
	_, err := do(t, j, session(t, j), cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(1)}, Answer: cull.Yes})
	must(t, err)
	stop()
	stop()
	same(t, "journals at the end", text(t, journalFile(j.Root())), text(t, journalFile(also)))
	if len(told) != 1 || !strings.Contains(told[0], broken) {
		t.Errorf("told: %q", told)
	}
}
