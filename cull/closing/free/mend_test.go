package free

import (
	"context"
	"errors"
	"os"
	"path"
	"slices"
	"strings"
	"testing"

	"garner/cull/job"
)

// An original that a killed run left aside gets its name from the next command that writes,
// but not while another has the job; its frame is no freed one then, and it is freed anew.
func TestMend(t *testing.T) {
	w := married(t)
	const p = "A/T0002.DNG"
	// The others, which fail in the same way, are renamed back at once.
	seen := &watch{before: func(_ int, op, at string) error {
		if strings.HasPrefix(at, "A/") && (op == "remove" || op == "link" || op == "rename" && path.Base(at) == asideName("T0002.DNG")) {
			return errors.New("killed here")
		}
		return nil
	}}
	if sum, _, err := w.free(seen.through(ordinary())); err != nil || sum.Freed != 0 {
		t.Fatalf("%+v %v", sum, err)
	}
	aside := w.abs("A/" + asideName("T0002.DNG"))
	w.open(func(j *job.Job) {
		list, err := Aside(j)
		if must(t, err); !slices.Contains(list, p) {
			t.Fatalf("aside: %v", list)
		}
		claim, err := j.Claim()
		must(t, err)
		other, err := job.Open(w.root, job.Options{Who: "test"})
		must(t, err)
		if back, err := Mend(context.Background(), other); err != nil || len(back) > 0 {
			t.Errorf("while it is being freed: %v %v", back, err)
		}
		must(t, other.Close())
		must(t, claim.Release())

		// What has its name meanwhile is left, and so is what lies aside.
		must(t, os.WriteFile(w.abs(p), []byte("another"), 0o666))
		if back, err := Mend(context.Background(), j); err != nil || slices.Contains(back, p) {
			t.Errorf("while another file has its name: %v %v", back, err)
		}
		must(t, os.Remove(w.abs(p)))
		back, err := Mend(context.Background(), j)
		if must(t, err); !slices.Equal(back, []string{p}) {
			t.Errorf("got their names back: %v", back)
		}
		if list, err := Aside(j); err != nil || len(list) > 0 {
			t.Errorf("aside still: %v %v", list, err)
		}
		frames, err := j.Frames()
		must(t, err)
		if f := frames[w.ids[1]]; f.Freed() || f.Files[0].Path != p {
			t.Errorf("the frame is %+v", f.Files)
		}
	})
	if _, err := os.Lstat(aside); !errors.Is(err, os.ErrNotExist) {
		t.Error("it lies aside still")
	}
	w.nothingLost("mended", 0)
	if sum, _, err := w.free(ordinary()); err != nil || sum.Freed != 3 {
		t.Errorf("freed anew: %+v %v", sum, err)
	}
}
