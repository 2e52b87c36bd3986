package closing

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/store/vfs"
)

func (b *bench) stands() Standing {
	b.t.Helper()
	s, err := stands(context.Background(), b.j, disks(b.shelf), nil)
	if err != nil {
		b.t.Fatal(err)
	}
	return s
}

// That the folder may be deleted is said as long as nothing has changed, here or there:
// each of these takes it back, and what undoes it brings it back.
func TestStands(t *testing.T) {
	b := newBench(t)
	if s := b.stands(); s.Safe || len(s.Bags) > 0 || len(s.Why) > 0 {
		t.Errorf("never archived: %+v", s)
	}
	b.decide(cull.Yes, 0)
	b.decide(cull.No, 1, 2)
	o := Options{Dirs: []string{filepath.Join(b.shelf, "one"), filepath.Join(b.shelf, "two")}, VolumeOf: disks(b.shelf)}
	b.run(o)
	safe := func(what string) {
		t.Helper()
		if s := b.stands(); !s.Safe || s.Small != 2 || len(s.Bags) != 2 || !s.Bags[1].There || !s.Bags[1].Proven {
			t.Fatalf("%s: %+v", what, s)
		}
	}
	safe("archived")
	bag := filepath.Join(o.Dirs[1], filepath.Base(b.dir))
	for what, c := range map[string]struct {
		path string
		why  string
		do   func(path string) error
	}{
		"a file appeared": {filepath.Join(b.dir, "A", "new.txt"), "1 file new or changed since: A/new.txt", func(p string) error { return os.WriteFile(p, []byte("x"), 0o666) }},
		"a set has a file that nobody cuts again": {filepath.Join(b.dir, "sets", "lab", "old.jpg"), "1 file of sets that could not be cut again", func(p string) error {
			return errors.Join(os.MkdirAll(filepath.Dir(p), 0o777), os.WriteFile(p, []byte("x"), 0o666))
		}},
		"a file grew":         {filepath.Join(b.dir, filepath.FromSlash(b.main(5))), "1 file new or changed", func(p string) error { return appended(p) }},
		"a file was edited":   {filepath.Join(b.dir, filepath.FromSlash(b.main(6))), "1 file new or changed", edited},
		"a link appeared":     {filepath.Join(b.dir, "link"), "symbolic link", func(p string) error { return os.Symlink("/etc/hostname", p) }},
		"a bag is gone":       {bag, "no such file", os.RemoveAll},
		"a bag lacks a file":  {filepath.Join(bag, "data/job", filepath.FromSlash(b.main(7))), "no such file", os.Remove},
		"a bag's file is cut": {filepath.Join(bag, "data/job", filepath.FromSlash(b.main(7))), "have not the size", func(p string) error { return os.Truncate(p, 7) }},
		"a bag is growing": {filepath.Join(bag, "growing.txt"), "", func(p string) error {
			return os.WriteFile(p, []byte("Files are being added to this bag, or that was interrupted. Archiving the job again completes it.\n"), 0o666)
		}},
		"a bag has an older record": {filepath.Join(bag, "data/record/0001/job.json"), "", os.Remove},
	} {
		undo := kept(t, c.path)
		if err := c.do(c.path); err != nil {
			t.Fatal(err)
		}
		b.untold()
		if s := b.stands(); s.Safe || len(s.Why) == 0 || !strings.Contains(fmt.Sprint(s.Why), c.why) {
			t.Errorf("%s: %+v", what, s)
		}
		undo()
		b.untold()
		safe("after " + what)
	}
	b.decide(cull.Yes, 3)
	if s := b.stands(); s.Safe || s.Entries != 1 {
		t.Errorf("decided: %+v", s)
	}
}

// untold is as if the system did not say when files were touched.
func (b *bench) untold() {
	b.t.Helper()
	a, ok, err := b.j.Archived()
	if err != nil || !ok {
		b.t.Fatal(ok, err)
	}
	for p, f := range a.Files {
		if info, err := os.Lstat(filepath.Join(b.dir, filepath.FromSlash(p))); err == nil {
			f.Touched = vfs.Touched(info)
			a.Files[p] = f
		}
	}
	if err := b.j.SaveArchived(a); err != nil {
		b.t.Fatal(err)
	}
}

// Who writes to a file far from its beginning, and sets its time back, is found out where
// the system says when it was touched; archived again, the bags have what it is now.
func TestWrittenBehind(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 1)
	o := b.twoDisks()
	b.run(o)
	p := filepath.Join(b.dir, filepath.FromSlash(b.main(4)))
	info, err := os.Stat(p)
	if err != nil || vfs.Touched(info) == 0 || info.Size() < 100_000 {
		t.Skip("the system does not say, or the file is small", err)
	}
	text, err := os.ReadFile(p)
	if err != nil {
		t.Fatal(err)
	}
	text[90_000] ^= 1
	if err := errors.Join(os.WriteFile(p, text, 0o666), os.Chtimes(p, info.ModTime(), info.ModTime())); err != nil {
		t.Fatal(err)
	}
	if s := b.stands(); s.Safe || s.Changed != 0 || s.Touched != 1 || !strings.Contains(fmt.Sprint(s.Why), "may have written to") {
		t.Errorf("%+v", s)
	}
	sum := b.run(o)
	for _, place := range sum.Places {
		if !sum.Safe || !has(t, place.Dir, text) {
			t.Errorf("%s lacks what was written; %v", place.Dir, sum.Why)
		}
	}
	if s := b.stands(); !s.Safe {
		t.Errorf("%+v", s)
	}
	// What was touched and is the same is read, and nothing is added.
	if err := os.Chmod(p, 0o640); err != nil {
		t.Fatal(err)
	}
	if s := b.stands(); s.Safe {
		t.Error("a file was touched, and nobody knows how")
	}
	if again := b.run(o); !again.Safe || again.Files[Added] != 0 || again.New {
		t.Errorf("%+v", again)
	}
}

func appended(p string) error {
	f, err := os.OpenFile(p, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = f.Write([]byte("x"))
	return err
}

// edited changes a byte and leaves size and time as they were.
func edited(p string) error {
	info, err := os.Stat(p)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(p, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	if _, err := f.WriteAt([]byte{0xAB}, 200); err != nil {
		return err
	}
	f.Close()
	return os.Chtimes(p, info.ModTime(), info.ModTime())
}

// kept returns what brings back a file or folder as it is.
func kept(t *testing.T, path string) (undo func()) {
	t.Helper()
	aside := filepath.Join(t.TempDir(), "aside")
	info, err := os.Lstat(path)
	switch {
	case err != nil:
		return func() { os.RemoveAll(path) }
	case info.IsDir():
		if err := os.CopyFS(aside, os.DirFS(path)); err != nil {
			t.Fatal(err)
		}
		return func() { os.RemoveAll(path); os.CopyFS(path, os.DirFS(aside)) }
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return func() {
		os.WriteFile(path, text, 0o666)
		os.Chtimes(path, info.ModTime(), info.ModTime())
	}
}

// What was measured of faces is in a record only while the job says yes to them; templates
// never are.
func TestFaces(t *testing.T) {
	b := newBench(t)
	faces := func() (n int) {
		r, err := record.Open(b.bag())
		if err != nil {
			t.Fatal(err)
		}
		for f, err := range r.Frames() {
			if err != nil {
				t.Fatal(err)
			}
			if text, _ := json.Marshal(f.Measured); strings.Contains(string(text), `"faces":{`) {
				n++
			}
		}
		return n
	}
	if err := b.j.SetFaces(true); err != nil {
		t.Fatal(err)
	}
	id := b.ids[b.names[0]]
	m := cull.Measures{Faces: cull.Faces{Method: cull.FacesMethod, List: []cull.Face{{Region: cull.Region{X: 0.1, Y: 0.1, W: 0.2, H: 0.2}, Score: 0.9}}}}
	if err := b.j.SaveMeasures(map[cull.ID]cull.Measures{id: m}); err != nil {
		t.Fatal(err)
	}
	b.run(Options{})
	if n := faces(); n != 1 {
		t.Errorf("%d frames with faces", n)
	}
	if err := os.WriteFile(filepath.Join(b.j.StateDir(), "people.db"), []byte("garnerP\x01templates"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := b.j.SetFaces(false); err != nil {
		t.Fatal(err)
	}
	b.run(Options{})
	if n := faces(); n != 0 {
		t.Errorf("%d frames with faces after a no", n)
	}
	for p := range tree(t, b.bag()) {
		if strings.Contains(p, "people") {
			t.Errorf("%s is in the bag", p)
		}
	}
}

// A record that leads out of the job or names what no manifest has is not believed.
func TestHostileRecord(t *testing.T) {
	var bag listing = sums{"data/job/A/1.CR3": {1}}
	prior := map[string]record.File{
		"A/1.CR3": {Path: "A/1.CR3", Bag: "data/job/../../../etc/passwd", SHA256: strings.Repeat("0", 64)},
		"A/2.CR3": {Path: "A/2.CR3", Bag: "data/job/A/nowhere.CR3", SHA256: "zz"},
	}
	p := newPlanner([]listing{bag}, [][]string{{"data/job/A/1.CR3"}}, prior, nil, 2)
	one, two := sum{1}, sum{2}
	for _, c := range []struct {
		x    item
		want string
	}{
		{item{file: file{path: "A/1.CR3"}, sum: &one}, "data/job/A/1.CR3"},
		{item{file: file{path: "A/1.CR3"}, sum: &two}, "data/later/0002/A/1.CR3"},
		{item{file: file{path: "A/2.CR3"}, sum: &two}, "data/job/A/2.CR3"},
	} {
		if p.place(&c.x); c.x.bag != c.want {
			t.Errorf("%s: %s, want %s", c.x.path, c.x.bag, c.want)
		}
	}
}

type sums map[string]sum

func (s sums) sum(path string) (sum, bool) {
	is, ok := s[path]
	return is, ok
}
