package recall

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/people"
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
	must(t, os.Mkdir(filepath.Join(dir, "finished"), 0o777))
	text, err := os.ReadFile(sent(t, 1, "back.jpg"))
	must(t, err)
	must(t, os.WriteFile(filepath.Join(dir, "finished", "Braut.jpg"), text, 0o666))
	_, err = j.Append(job.Finished("finished/Braut.jpg", id))
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
	if named, err := l.Find(t.Context(), Query{Name: "braut"}); err != nil || len(named.Hits) != 1 || named.Hits[0].Frame != id || !slices.Equal(named.Hits[0].Delivered, []string{"Braut.jpg"}) {
		t.Errorf("by the name of its finished picture: %+v, %v", named, err)
	}
	must(t, os.Remove(h.Best.Path))
	if left, err := l.Find(t.Context(), Query{Name: "braut"}); err != nil || left.Hits[0].Best.Kind != Finished {
		t.Errorf("without the original: %+v, %v", left, err)
	}
	must(t, os.WriteFile(h.Best.Path, nil, 0o666))
	all, err := l.Find(t.Context(), Query{})
	must(t, err)
	if all.Total != len(layout.Places) {
		t.Errorf("%d frames, want %d", all.Total, len(layout.Places))
	}
	if !slices.IsSortedFunc(all.Hits, func(a, b Hit) int { return a.Corrected.Wall.Compare(b.Corrected.Wall) }) {
		t.Error("not in the order of time")
	}
	after := slices.DeleteFunc(tree(t, dir), func(s string) bool { return strings.HasPrefix(s, h.Best.Path) })
	before = slices.DeleteFunc(before, func(s string) bool { return strings.HasPrefix(s, h.Best.Path) })
	if !slices.Equal(after, before) {
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

// A person is found where the job says yes to templates and holds them, and nowhere else.
func TestPerson(t *testing.T) {
	dir, bag := testjob.Demo(t, 24, true), filepath.Join(t.TempDir(), "bag")
	wedding(t, bag, "Job 0613", 1).write()
	persons := func(name string, dirs ...string) ([]cull.ID, error) {
		f, err := open(t, Options{}, dirs...).Find(t.Context(), Query{Person: name})
		var ids []cull.ID
		for _, h := range f.Hits {
			ids = append(ids, h.Frame)
		}
		return ids, err
	}
	if ids, err := persons("p1", dir, bag); !errors.Is(err, ErrNoTemplates) || ids != nil {
		t.Errorf("before anybody said yes: %v, %v", ids, err)
	}
	j, err := job.Open(dir, job.Options{Who: "anna"})
	must(t, err)
	defer j.Close()
	layout, err := j.Layout()
	must(t, err)
	must(t, j.SetFaces(true))
	must(t, j.SetPeople(true))
	s := people.Open(j)
	face := func(v float32) (f people.Face) {
		f.Region = cull.Region{X: 0.1, Y: 0.1, W: 0.2, H: 0.2}
		f.Template[0] = v
		return f
	}
	a, b, c := layout.Places[2].Frame, layout.Places[5].Frame, layout.Places[7].Frame
	must(t, s.Put(people.Found{Frame: a, Faces: []people.Face{face(1)}}, people.Found{Frame: b, Faces: []people.Face{face(3)}}, people.Found{Frame: c, Faces: []people.Face{face(1.1)}}))
	_, err = s.Rename("p2", "Zoë")
	must(t, err)
	for name, want := range map[string][]cull.ID{"p1": {a, c}, "P2": {b}, "ZOE\u0308": {b}, "p3": nil, "zo": nil} {
		ids, err := persons(name, bag, dir)
		slices.Sort(ids)
		slices.Sort(want)
		if err != nil || !slices.Equal(ids, want) {
			t.Errorf("%s: %v, %v, want %v", name, ids, err, want)
		}
	}
	_, err = people.Withdraw(j)
	must(t, err)
	if ids, err := persons("p1", dir); !errors.Is(err, ErrNoTemplates) || ids != nil {
		t.Errorf("after the yes was taken back: %v, %v", ids, err)
	}
}
