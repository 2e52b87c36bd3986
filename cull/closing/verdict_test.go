package closing

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/store"
	"garner/store/archive"
	"garner/store/copy"
	"garner/store/vfs"
	"garner/store/volume"
)

// at calls something once, when a run comes to a stage.
func at(stage Stage, do func()) func(Progress) {
	done := false
	return func(p Progress) {
		if p.Stage == stage && !done {
			done = true
			do()
		}
	}
}

// What is decided while the job is archived is not in the bags: a frame that was taken back
// in meanwhile is there as a small picture alone.
func TestDecidedMeanwhile(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 0, 1)
	o := b.twoDisks()
	o.Progress = at(Copying, func() { b.decide(cull.Yes, 0) })
	sum := b.run(o)
	if s := b.stands(); sum.Safe || s.Safe {
		t.Errorf("archive says %v, status %v", sum.Safe, s.Safe)
	}
	o.Progress = nil
	if sum := b.run(o); !sum.Safe {
		t.Errorf("%v", sum.Why)
	}
}

// What appears in the folder meanwhile counts, also what no bag gets.
func TestAppearsMeanwhile(t *testing.T) {
	b := newBench(t)
	for what, do := range map[string]func(path string) error{
		"a link": func(p string) error { return os.Symlink("/etc/hostname", p) },
		"a folder that is shut": func(p string) error {
			return errors.Join(os.Mkdir(p, 0o777), os.WriteFile(p+"/x", nil, 0o666), os.Chmod(p, 0))
		},
		"a file of sets by hand": func(p string) error { return os.WriteFile(p, []byte("x"), 0o666) },
	} {
		p := filepath.Join(b.dir, "sets", "lab", "mine")
		if err := os.MkdirAll(filepath.Dir(p), 0o777); err != nil {
			t.Fatal(err)
		}
		o := b.twoDisks()
		o.Progress = at(Copying, func() {
			if err := do(p); err != nil {
				t.Fatal(what, err)
			}
		})
		if what == "a folder that is shut" && os.Getuid() == 0 {
			continue
		}
		if sum := b.run(o); sum.Safe {
			t.Errorf("%s appeared, and the folder may be deleted", what)
		}
		os.Chmod(p, 0o700)
		if err := os.RemoveAll(p); err != nil {
			t.Fatal(err)
		}
		os.RemoveAll(b.shelf)
	}
}

// A first run that was interrupted when everything was in place leaves files that the next
// one takes over: they are read again, for time has passed.
func TestTakenOverIsRead(t *testing.T) {
	b := newBench(t)
	o := b.twoDisks()
	fails := &failsOn{FS: vfs.OS{}, name: "manifest-sha256.txt"}
	if _, err := run(context.Background(), b.j, o, fails); err == nil {
		t.Fatal("it was not interrupted")
	}
	for _, shelf := range o.Dirs {
		p := filepath.Join(shelf, filepath.Base(b.dir), "data", "job", filepath.FromSlash(b.main(4)))
		if err := edited(p); err != nil {
			t.Fatal(err)
		}
	}
	sum, err := Run(context.Background(), b.j, o)
	if err == nil && (sum.Safe || sum.Places[0].Proven) {
		t.Errorf("bytes of bags that were not read again are proven: %+v", sum.Places)
	}
}

// failsOn is a file system on which a tag file cannot be exchanged.
type failsOn struct {
	vfs.FS
	name string
}

func (f *failsOn) Rename(from, to string) error {
	if filepath.Base(to) == f.name {
		return errors.New("power is gone")
	}
	return f.FS.Rename(from, to)
}

// A disk that is taken away before the end takes the bag along, be it read back by then or
// not: what is made under its name is not the bag.
func TestDiskIsTakenAway(t *testing.T) {
	b := newBench(t)
	o := b.twoDisks()
	one, two := filepath.Join(o.Dirs[0], filepath.Base(b.dir)), filepath.Join(o.Dirs[1], filepath.Base(b.dir))
	away := func(dir string) {
		if err := os.Rename(dir, filepath.Join(b.shelf, "away")); err != nil {
			t.Fatal(err)
		}
	}
	for what, progress := range map[string]func(Progress){
		"before the record came": at(Writing, func() { away(two) }),
		"before it was read":     at(Checking, func() { away(two) }),
		"after it was read": func(p Progress) {
			if p.Stage == Checking && p.Place == two && exists(one) {
				away(one)
			}
		},
	} {
		o.Progress = nil
		if sum, err := Run(context.Background(), b.j, o); err != nil || !sum.Safe {
			t.Fatal(sum.Why, err)
		}
		b.write("new.txt", what)
		o.Progress = progress
		sum, err := Run(context.Background(), b.j, o)
		if err != nil || sum.Safe || !exists(filepath.Join(b.shelf, "away")) {
			t.Errorf("%s: the folder may be deleted (%v)", what, err)
		}
		if s := b.stands(); s.Safe {
			t.Errorf("%s: %+v", what, s)
		}
		if err := os.RemoveAll(b.shelf); err != nil {
			t.Fatal(err)
		}
	}
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// What lies under its name by then may be on the disk of the job, or on a third one.
func TestDiskIsExchanged(t *testing.T) {
	for _, disk := range []string{"job", "three"} {
		b := newBench(t)
		o := b.twoDisks()
		gone := false
		o.VolumeOf = func(p string) (volume.Volume, error) {
			v, err := disks(b.shelf)(p)
			if gone && v.Disk == "two" {
				v.Disk, v.Root = disk, "/"+disk
			}
			return v, err
		}
		o.Progress = at(Writing, func() { gone = true })
		if sum := b.run(o); sum.Safe || sum.Places[1].Proven || sum.Places[1].Err == nil {
			t.Errorf("%s: a bag is not on the disk any more that it was on: %+v", disk, sum)
		}
	}
}

// A file that was changed right before may be changed once more without another time.
func TestChangedJustNow(t *testing.T) {
	b := newBench(t)
	f, err := walk(context.Background(), b.dir, b.j.StateDir(), false)
	if err != nil {
		t.Fatal(err)
	}
	r := &runner{o: Options{}.withDefaults(), job: b.j, fsys: vfs.OS{}, folder: f, began: time.Now()}
	for _, x := range f.files {
		c, err := copy.ReadBack(context.Background(), r.fsys, r.source(x.path))
		if err != nil {
			t.Fatal(err)
		}
		r.items = append(r.items, &item{file: x, head: "known", sum: &c.Sum})
	}
	is := func(what string, want ...string) {
		t.Helper()
		if got, err := r.changed(context.Background(), f); err != nil || !slices.Equal(got, want) {
			t.Errorf("%s: %q %v, want %q", what, got, err, want)
		}
	}
	is("as it was")
	x := r.items[3]
	x.sum = &sum{1}
	is("one was changed after it was copied", x.path)
	r.began = r.began.Add(time.Hour)
	is("that would have given it another time")
	r.items[2].head = ""
	is("one could not be read at the beginning", r.items[2].path)
}

// A bag that is right in itself and of this job, but has not all that was proven, is not the
// bag that it was.
func TestBagWasExchanged(t *testing.T) {
	b := newBench(t)
	o := b.twoDisks()
	if sum := b.run(o); !sum.Safe {
		t.Fatal(sum.Why)
	}
	two := filepath.Join(o.Dirs[1], filepath.Base(b.dir))
	slim := filepath.Join(b.shelf, "slim")
	growRecordOnly(t, two, slim)
	if err := errors.Join(os.Rename(two, two+" away"), os.Rename(slim, two)); err != nil {
		t.Fatal(err)
	}
	b.valid(two)
	if s := b.stands(); s.Safe {
		t.Error("the bag has nothing but a record, and the folder may be deleted")
	}
}

// One bag whose record is damaged keeps no other from what it is to get.
func TestDamagedRecord(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 0)
	o := b.twoDisks()
	b.run(o)
	one := filepath.Join(o.Dirs[0], filepath.Base(b.dir), filepath.FromSlash(record.RunFolder(1)))
	for _, name := range []string{record.FilesName, record.FramesName} {
		undo := kept(t, filepath.Join(one, name))
		if err := os.WriteFile(filepath.Join(one, name), []byte("{\n"), 0o666); err != nil {
			t.Fatal(err)
		}
		sum, err := Run(context.Background(), b.j, Options{Dirs: append(o.Dirs[:2:2], filepath.Join(b.shelf, "three")), VolumeOf: o.VolumeOf})
		if err != nil || sum.Places[0].Err == nil || sum.Places[1].Err != nil || sum.Places[2].Err != nil || sum.Safe {
			t.Errorf("%s: %v, %+v", name, err, sum.Places)
		}
		for _, p := range sum.Places[1:] {
			if p.Err == nil {
				b.valid(p.Dir)
			}
		}
		undo()
		if err := os.RemoveAll(filepath.Join(b.shelf, "three")); err != nil {
			t.Fatal(err)
		}
	}
	if sum := b.run(o); !sum.Safe {
		t.Error(strings.Join(sum.Why, "; "))
	}
}

// growRecordOnly makes a bag of the record in another.
func growRecordOnly(t *testing.T, bag, to string) {
	t.Helper()
	g := archive.Growth{Dirs: []string{to}}
	for p := range tree(t, bag) {
		if strings.HasPrefix(p, record.Folder) {
			g.Puts = append(g.Puts, archive.Put{Path: p, Source: filepath.Join(bag, filepath.FromSlash(p))})
		}
	}
	if _, err := archive.Grow(context.Background(), vfs.OS{}, g); err != nil {
		t.Fatal(err)
	}
}

// While one program makes a bag, or adds to it, no other does: each would write lists
// without the files of the other.
func TestTwoAtOnce(t *testing.T) {
	a, b := newBench(t), newBench(t)
	a.decide(cull.No, 0)
	b.decide(cull.No, 3)
	b.shelf = a.shelf
	o := a.twoDisks()
	o.Progress = at(Looking, func() {
		sum, err := Run(context.Background(), b.j, b.twoDisks())
		for _, p := range sum.Places {
			if !errors.Is(p.Err, errTaken) || err == nil {
				t.Errorf("%s: %v (%v)", p.Dir, p.Err, err)
			}
		}
		if noted, err := b.j.Bags(); len(noted) > 0 || err != nil {
			t.Errorf("noted: %v %v", noted, err)
		}
	})
	if sum := a.run(o); !sum.Safe {
		t.Errorf("%v", sum.Why)
	}
	o.Progress = nil
	sum, err := Run(context.Background(), b.j, b.twoDisks())
	if err != nil || !sum.Safe || filepath.Base(sum.Places[0].Dir) != filepath.Base(a.dir)+"-2" {
		t.Errorf("%v %v %+v", err, sum.Why, sum.Places)
	}
	if s := a.stands(); !s.Safe {
		t.Error(s.Why)
	}
	for _, p := range sum.Places {
		a.valid(p.Dir)
	}
	// One that is there already is held as well.
	o.Progress = at(Writing, func() {
		for _, dir := range o.Dirs {
			p := &place{Place: Place{Dir: filepath.Join(dir, filepath.Base(a.dir))}}
			if err := p.hold(vfs.OS{}, nil, nil); !errors.Is(err, errTaken) {
				t.Errorf("%s: %v", p.Dir, err)
			}
		}
	})
	a.run(o)
}

// What another program has in the making is somebody's; what a killed copy of ours left is
// nobody's.
func TestInTheMaking(t *testing.T) {
	b := newBench(t)
	b.write("finished/.album-partial", "pages")
	b.write("finished/"+store.PartialName("a.jpg", "0123456789abcdef"), "half")
	b.run(Options{})
	have := tree(t, b.bag())
	if have["data/job/finished/.album-partial"] == "" || slices.ContainsFunc(payload(have), func(p string) bool { return strings.Contains(p, "a.jpg") }) {
		t.Errorf("%q", payload(have))
	}
}

// A freeing that was killed leaves the small picture beside its original: both are what one
// file in the bag stands for.
func TestFreeingWasKilled(t *testing.T) {
	for _, folder := range []string{"A", "x"} { // before the small pictures, and after
		b := newBench(t)
		if folder != "A" {
			if err := os.Rename(filepath.Join(b.dir, "A"), filepath.Join(b.dir, folder)); err != nil {
				t.Fatal(err)
			}
			b.open()
		}
		dropped := slices.IndexFunc(b.names, func(name string) bool { return strings.HasPrefix(name, folder+"/") })
		b.decide(cull.No, dropped)
		o := b.twoDisks()
		b.run(Options{Dirs: o.Dirs[:1], VolumeOf: o.VolumeOf})
		raw := b.main(dropped)
		text, err := os.ReadFile(filepath.Join(o.Dirs[0], filepath.Base(b.dir), "data", "small", filepath.FromSlash(raw+".jpg")))
		if err != nil {
			t.Fatal(err)
		}
		b.write(cull.SmallPath(raw), string(text))
		if sum := b.run(o); !sum.Safe || sum.Failures() > 0 {
			t.Errorf("%v, %+v", sum.Why, sum.Places)
		}
		if s := b.stands(); !s.Safe {
			t.Error(s.Why)
		}
		// A bag that has neither, and gets another picture of the original.
		sum := b.run(Options{Dirs: []string{filepath.Join(b.shelf, "three")}, VolumeOf: o.VolumeOf, Small: 320})
		if !has(t, sum.Places[0].Dir, text) {
			t.Errorf("%s: the small picture is not in the bag as it is in the job", raw)
		}
	}
}
