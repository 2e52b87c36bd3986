package recall

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/testdata/testjob"
)

func TestMain(m *testing.M) { os.Exit(testjob.Run(m)) }

// A job is asked as its catalogue stands, and only read.
func TestJob(t *testing.T) {
	dir := testjob.Demo(t, 24, true)
	j, err := job.Open(dir, job.Options{Who: "anna"})
	must(t, err)
	layout, err := j.Layout()
	must(t, err)
	frames, err := j.Frames()
	must(t, err)
	id := layout.Places[3].Frame
	_, err = j.Append(cull.Entry{Verb: cull.VerbAnswer, Pass: cull.KeepPass, Changes: []cull.Change{{Frame: id, After: cull.No}}},
		cull.Entry{Verb: cull.VerbScene, Args: []string{"#" + string(layout.Scenes[0].First), "Kirche"}})
	must(t, err)
	must(t, j.Close())
	before := tree(t, dir)

	l := open(t, Options{}, dir)
	f, err := l.Find(t.Context(), Query{Passes: []Answered{{cull.KeepPass, cull.No}}})
	if err != nil || len(f.Hits) != 1 {
		t.Fatalf("%+v, %v", f, err)
	}
	h, want := f.Hits[0], frames[id]
	if h.Frame != id || h.Name != want.Name || h.Job != filepath.Base(dir) || h.Answers[cull.KeepPass] != cull.No || h.Corrected != layout.Places[3].Corrected || h.Taken != want.Taken ||
		h.Best.Kind != Original || h.Best.Path != filepath.Join(l.places[0].dir, filepath.FromSlash(want.Files[0].Path)) || h.Body.Model != want.Shot.Model {
		t.Errorf("%+v", h)
	}
	all, err := l.Find(t.Context(), Query{})
	must(t, err)
	if all.Total != len(layout.Places) {
		t.Errorf("%d frames, want %d", all.Total, len(layout.Places))
	}
	if !slices.IsSortedFunc(all.Hits, func(a, b Hit) int { return a.Corrected.Wall.Compare(b.Corrected.Wall) }) {
		t.Error("not in the order of time")
	}
	if after := tree(t, dir); !slices.Equal(after, before) {
		t.Errorf("the job has become %q", after)
	}
}

// tree lists the files of a folder, but for the lock that every reader of a catalogue
// takes.
func tree(t *testing.T, dir string) []string {
	t.Helper()
	var out []string
	must(t, filepath.WalkDir(dir, func(p string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		out = append(out, p+info.ModTime().String())
		return err
	}))
	return out
}
