package job_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/cull"
	"garner/cull/job"
)

// What was freed is known from the journal alone, whatever the path is made of, and no
// line of nonsense is believed.
func TestFreedIsKept(t *testing.T) {
	dir := t.TempDir()
	j := open(t, dir)
	want := map[string]job.FreedFile{
		"A/IMG_0001.CR3":         {Frame: frameID(0), Sum: job.Sum{1, 2, 3}, Bytes: 25e6},
		"C/Day one/\xFF \"x.NEF": {Frame: frameID(1), Sum: job.Sum{4}, Bytes: 1},
	}
	for p, f := range want {
		_, err := j.Append(job.Freed(p, f))
		must(t, err)
	}
	good := job.Freed("A/IMG_0001.CR3", want["A/IMG_0001.CR3"]).Args
	for i, spoil := range []string{"", "0123456789abcdef", "../../x", "0102", "-1"} {
		args := append([]string{}, good...)
		args[2] = "A/IMG_0009.CR3"
		if i == 0 {
			args = args[:4]
		} else {
			args[i] = spoil
		}
		_, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: args})
		must(t, err)
	}
	check := func() {
		t.Helper()
		got, err := j.Freed()
		must(t, err)
		if d := cmp.Diff(want, got); d != "" {
			t.Error(d)
		}
	}
	check()
	must(t, j.Close())
	must(t, os.Remove(filepath.Join(dir, ".garner", "catalog.db")))
	j = open(t, dir)
	check()
}

// What was freed in another copy is there still here: its line is refused.
func TestFreedElsewhereIsNotFreedHere(t *testing.T) {
	j := open(t, t.TempDir())
	e := job.Freed("A/IMG_0001.CR3", job.FreedFile{Frame: frameID(0), Sum: job.Sum{1}, Bytes: 5})
	if err := j.Refused(e); !errors.Is(err, job.ErrFreedThere) {
		t.Error(err)
	}
	theirs := open(t, t.TempDir())
	_, err := theirs.Append(e)
	must(t, err)
	must(t, theirs.NoteBags("/there/shelf/job"))
	must(t, theirs.SetOpened("/there/other/job", nil))
	out := merge(t, j, text(t, journalFile(theirs.Root())))
	if freed, err := j.Freed(); err != nil || len(freed) != 0 || !strings.Contains(out, "freed in another copy") {
		t.Errorf("%v, %v, %q", freed, err, out)
	}
	bags, err := j.Bags()
	must(t, err)
	opened, err := j.Opened()
	must(t, err)
	if len(bags) > 0 || opened != "" || strings.Count(out, "a bag of another copy") != 4 {
		t.Errorf("bags %v, opened %q, %q", bags, opened, out)
	}
}
