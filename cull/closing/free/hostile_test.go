package free

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"garner/cull"
	"garner/cull/job"
)

// flip turns a bit of a file over and leaves its size and time.
func flip(t testing.TB, name string, at int) {
	t.Helper()
	info, err := os.Stat(name)
	must(t, err)
	b, err := os.ReadFile(name)
	must(t, err)
	b[at%len(b)] ^= 1
	must(t, os.WriteFile(name, b, 0o666))
	must(t, os.Chtimes(name, info.ModTime(), info.ModTime()))
}

// outside is a picture elsewhere that must outlive everything.
func (w *wedding) outside() string {
	w.t.Helper()
	name := filepath.Join(w.dir, "precious.DNG")
	must(w.t, os.WriteFile(name, []byte("precious"), 0o666))
	return name
}

// hostile is what somebody or something does to a job that is being freed.
type hostile struct {
	name   string
	before func(w *wedding)                         // the run
	during func(w *wedding, op, path string) error  // an operation
	gone   []string                                 // of mayGo; what else is planned stays
	why    Why                                      // of what stays
	fails  string                                   // what the error of the whole run says; "" = there is none
	after  func(w *wedding, stayed map[string]Stay) // further checks
	moved  []string                                 // originals that the case itself took from their places
	o      func(*Options)
}

func noSpace(op, path, wantOp, wantPath string) error {
	if op == wantOp && strings.Contains(path, wantPath) {
		return syscall.ENOSPC
	}
	return nil
}

var two = []string{"A/T0003.DNG", "A/T0007.DNG"}

func hostiles() []hostile {
	const first = "A/T0002.DNG"
	swap := func(put func(w *wedding, name string)) func(*wedding, string, string) error {
		return func(w *wedding, op, path string) error {
			if op == "rename" && path == first {
				must(w.t, os.Rename(w.abs(first), filepath.Join(w.dir, "taken away")))
				put(w, w.abs(first))
			}
			return nil
		}
	}
	return []hostile{
		{name: "a byte of the original is another one", before: func(w *wedding) { flip(w.t, w.abs(first), 5000) }, gone: two, why: Differs, moved: []string{first}},
		{name: "a byte is another one, and there is no manifest", before: func(w *wedding) {
			flip(w.t, w.abs(first), 5000)
			w.open(func(j *job.Job) { must(w.t, j.RenameManifest(map[string]string{first: ""})) })
		}, gone: two, why: Differs, moved: []string{first}},
		{name: "the original has grown", before: func(w *wedding) {
			must(w.t, os.WriteFile(w.abs(first), append(w.read(first), 0), 0o666))
		}, gone: two, why: Differs, moved: []string{first}},
		{name: "a link to a file elsewhere stands in its place", before: func(w *wedding) {
			must(w.t, os.Remove(w.abs(first)))
			must(w.t, os.Symlink(w.outside(), w.abs(first)))
		}, gone: two, why: Differs, moved: []string{first}},
		{name: "a link to a keeper stands in its place", before: func(w *wedding) {
			must(w.t, os.Remove(w.abs(first)))
			must(w.t, os.Symlink("T0001.DNG", w.abs(first)))
		}, gone: two, why: Differs, moved: []string{first}},
		{name: "a hard link to a keeper stands in its place", before: func(w *wedding) {
			must(w.t, os.Remove(w.abs(first)))
			must(w.t, os.Link(w.abs("A/T0001.DNG"), w.abs(first)))
		}, gone: two, why: Shared, moved: []string{first}},
		{name: "it is hard-linked elsewhere", before: func(w *wedding) {
			must(w.t, os.Link(w.abs(first), filepath.Join(w.dir, "other name")))
		}, gone: two, why: Shared},
		{name: "its folder is a link to another", before: func(w *wedding) {
			must(w.t, os.Rename(w.abs("A"), filepath.Join(w.dir, "elsewhere")))
			must(w.t, os.Symlink(filepath.Join(w.dir, "elsewhere"), w.abs("A")))
		}, why: Differs},
		{name: "a pipe stands in its place", before: func(w *wedding) {
			must(w.t, os.Remove(w.abs(first)))
			must(w.t, pipe(w.abs(first)))
		}, gone: two, why: Differs, moved: []string{first}},
		{name: "it is gone", before: func(w *wedding) { must(w.t, os.Remove(w.abs(first))) }, gone: two, why: Unread, moved: []string{first}},
		{name: "the manifest has other bytes", before: func(w *wedding) {
			w.open(func(j *job.Job) { must(w.t, j.RecordManifest(map[string]job.Sum{first: {1}})) })
		}, gone: two, why: Differs},
		{name: "the catalogue gives a keeper's file to a dropped frame", before: func(w *wedding) {
			w.open(func(j *job.Job) {
				frames, err := j.Frames()
				must(w.t, err)
				f := frames[w.ids[1]]
				f.Files = append(f.Files, frames[w.ids[0]].Files[0])
				f.Files[1].Role = cull.RoleTwin
				must(w.t, j.SaveFrames([]cull.Frame{f}))
			})
		}, gone: mayGo, after: func(w *wedding, stayed map[string]Stay) {
			if stayed["A/T0001.DNG"].Why != NotArchived {
				w.t.Errorf("the keeper's file: %+v", stayed["A/T0001.DNG"])
			}
		}},
		{name: "the catalogue calls a keeper's file that of a dropped frame", before: func(w *wedding) {
			w.open(func(j *job.Job) {
				frames, err := j.Frames()
				must(w.t, err)
				f := frames[w.ids[1]]
				f.Files[0].Path = "A/T0001.DNG"
				must(w.t, j.SaveFrames([]cull.Frame{f}))
			})
		}, gone: two, after: func(w *wedding, stayed map[string]Stay) {
			if stayed["A/T0001.DNG"].Why != NotArchived {
				w.t.Errorf("the keeper's file: %+v", stayed["A/T0001.DNG"])
			}
		}},
		{name: "a bit of a small picture is flipped", before: func(w *wedding) {
			flip(w.t, filepath.Join(w.bags[1], "data", "small", "A", "T0003.DNG.jpg"), 40_000)
		}, fails: "is not valid", moved: nil},
		{name: "a bag lacks a keeper", before: func(w *wedding) {
			must(w.t, os.Remove(filepath.Join(w.bags[0], "data", "job", "A", "T0001.DNG")))
		}, fails: "is not valid"},
		{name: "a bag is not connected", before: func(w *wedding) { must(w.t, os.Rename(w.bags[1], w.bags[1]+" away")) }, fails: "cannot be reached"},
		{name: "what stands for a bag is no bag", before: func(w *wedding) {
			must(w.t, os.RemoveAll(w.bags[1]))
			must(w.t, os.MkdirAll(w.bags[1], 0o777))
		}, fails: "cannot be read"},
		{name: "the bag is that of a copy that was decided on by itself", before: func(w *wedding) {
			w.open(func(j *job.Job) { w.answer(j, 4, cull.Open, cull.No, true) })
			w.archive("three")
			w.bags = w.bags[:2]
			w.was = w.tree(w.root)
			must(w.t, os.RemoveAll(w.abs(".garner")))
			must(w.t, os.CopyFS(w.abs(".garner"), os.DirFS(filepath.Join(made.dir, ".garner"))))
			w.open(func(j *job.Job) {
				for i, a := range answers {
					w.answer(j, i, cull.Open, a, true)
				}
				must(w.t, j.NoteBags(filepath.Join(w.dir, "three", "job")))
			})
		}, fails: "not of this job"},
		{name: "the answer is taken back while the file is read", during: func(w *wedding, op, path string) error {
			if op == "read" && path == first {
				j, err := job.Open(w.root, job.Options{Who: "anna"})
				must(w.t, err)
				if d, err := j.Decisions(cull.KeepPass); err == nil && d[w.ids[1]].Answer == cull.No {
					w.answer(j, 1, cull.No, cull.Open, true)
				}
				must(w.t, j.Close())
			}
			return nil
		}, gone: two, why: Changed},
		{name: "a frame was rescued after it was archived", before: func(w *wedding) {
			w.open(func(j *job.Job) { w.rescue(j, 1) })
		}, gone: two, after: func(w *wedding, stayed map[string]Stay) {
			if stayed[first].Why != TakenBack {
				w.t.Errorf("%+v", stayed[first])
			}
		}},
		{name: "a frame is rescued while its file is read", during: func(w *wedding, op, path string) error {
			if op == "read" && path == first {
				j, err := job.Open(w.root, job.Options{Who: "anna"})
				must(w.t, err)
				if back, err := j.TakenBack(); err == nil && len(back) == 0 {
					w.rescue(j, 1)
				}
				must(w.t, j.Close())
			}
			return nil
		}, gone: two, why: TakenBack},
		{name: "another file has its name by the time it is removed", during: swap(func(w *wedding, name string) {
			must(w.t, os.WriteFile(name, []byte("another"), 0o666))
		}), gone: two, why: NotRemoved, moved: []string{first}, after: func(w *wedding, _ map[string]Stay) {
			if b := w.read(first); string(b) != "another" {
				w.t.Errorf("the other file holds %.20q", b)
			}
		}},
		{name: "a link has its name by the time it is removed", during: swap(func(w *wedding, name string) {
			must(w.t, os.Symlink(w.outside(), name))
		}), gone: two, why: NotRemoved, moved: []string{first}, after: func(w *wedding, _ map[string]Stay) {
			if to, err := os.Readlink(w.abs(first)); err != nil || to != filepath.Join(w.dir, "precious.DNG") {
				w.t.Errorf("the link: %s, %v", to, err)
			}
		}},
		{name: "a copy of it has its name by the time it is removed", during: swap(func(w *wedding, name string) {
			must(w.t, os.WriteFile(name, w.was[first], 0o666))
		}), gone: two, why: NotRemoved},
		{name: "its folder is another by the time it is removed", during: func(w *wedding, op, path string) error {
			if op == "rename" && path == "A/T0007.DNG" {
				must(w.t, os.Rename(w.abs("A"), w.abs("B")))
				must(w.t, os.Mkdir(w.abs("A"), 0o777))
				must(w.t, os.WriteFile(w.abs("A/T0007.DNG"), []byte("another"), 0o666))
			}
			return nil
		}, gone: mayGo, after: func(w *wedding, _ map[string]Stay) {
			if b := w.read("A/T0007.DNG"); string(b) != "another" {
				w.t.Errorf("the file of that name in the new folder holds %.20q", b)
			}
			if _, err := os.Lstat(w.abs("B/T0007.DNG")); err == nil {
				w.t.Error("the original, which was proved, is still there")
			}
			must(w.t, os.Remove(w.abs("A/T0007.DNG")))
			must(w.t, os.Remove(w.abs("A")))
			must(w.t, os.Rename(w.abs("B"), w.abs("A")))
		}},
		{name: "its folder is a link to elsewhere by the time it is removed", during: func(w *wedding, op, path string) error {
			if op == "rename" && path == "A/T0007.DNG" {
				must(w.t, os.Rename(w.abs("A"), w.abs("B")))
				must(w.t, os.Mkdir(filepath.Join(w.dir, "elsewhere"), 0o777))
				must(w.t, os.Rename(w.outside(), filepath.Join(w.dir, "elsewhere", "T0007.DNG")))
				must(w.t, os.Symlink(filepath.Join(w.dir, "elsewhere"), w.abs("A")))
			}
			return nil
		}, gone: mayGo, after: func(w *wedding, _ map[string]Stay) {
			if b := w.read("A/T0007.DNG"); string(b) != "precious" {
				w.t.Errorf("the file elsewhere holds %.20q", b)
			}
			must(w.t, os.Remove(w.abs("A")))
			must(w.t, os.Rename(w.abs("B"), w.abs("A")))
		}},
		{name: "a bag's small picture is spoilt after the bag was read", during: func(w *wedding, op, path string) error {
			if op == "enter" && path == "A/T0003.DNG" {
				name := filepath.Join(w.bags[1], "data", "small", "A", "T0003.DNG.jpg")
				if b, err := os.ReadFile(name); err == nil && len(b) > 10 {
					must(w.t, os.WriteFile(name, b[:10], 0o666))
				}
			}
			return nil
		}, gone: []string{first, "A/T0007.DNG"}, why: Unproved},
		{name: "a bit of what a small picture says to viewers is flipped after the bag was read", during: func(w *wedding, op, path string) error {
			if op == "enter" && path == "A/T0003.DNG" {
				flip(w.t, filepath.Join(w.bags[0], "data", "small", "A", "T0003.DNG.jpg"), 100)
			}
			return nil
		}, gone: []string{first, "A/T0007.DNG"}, why: Unproved},
		{name: "there is no room for small pictures", during: func(_ *wedding, op, path string) error {
			return noSpace(op, path, "write", "small")
		}, why: NotKept},
		{name: "a small picture cannot be synced", during: func(_ *wedding, op, path string) error {
			return noSpace(op, path, "sync", "T0003")
		}, gone: []string{first, "A/T0007.DNG"}, why: NotKept},
		{name: "the folder of small pictures is a link", before: func(w *wedding) {
			must(w.t, os.Mkdir(filepath.Join(w.dir, "pictures"), 0o777))
			must(w.t, os.Symlink(filepath.Join(w.dir, "pictures"), w.abs("small")))
		}, why: NotKept},
		{name: "another file has the name of its small picture", before: func(w *wedding) {
			must(w.t, os.MkdirAll(w.abs("small/A"), 0o777))
			must(w.t, os.WriteFile(w.abs(cull.SmallPath(first)), []byte("mine"), 0o666))
		}, gone: two, why: NotKept, after: func(w *wedding, _ map[string]Stay) {
			if b := w.read(cull.SmallPath(first)); string(b) != "mine" {
				w.t.Errorf("it holds %.20q", b)
			}
		}},
		{name: "the system does not remove it", during: func(_ *wedding, op, path string) error {
			if op == "remove" && strings.HasSuffix(path, asideName("T0002.DNG")) {
				return syscall.EPERM
			}
			return nil
		}, gone: two, why: NotRemoved},
		{name: "the system does not move it", during: func(_ *wedding, op, path string) error {
			if op == "rename" && path == first {
				return syscall.EACCES
			}
			return nil
		}, gone: two, why: NotRemoved},
		{name: "something has the name that it would have aside", before: func(w *wedding) {
			must(w.t, os.WriteFile(w.abs("A/"+asideName("T0002.DNG")), []byte("mine"), 0o666))
		}, gone: two, why: NotRemoved, after: func(w *wedding, _ map[string]Stay) {
			if b := w.read("A/" + asideName("T0002.DNG")); string(b) != "mine" {
				w.t.Errorf("it holds %.20q", b)
			}
		}},
		{name: "it cannot be read", during: func(_ *wedding, op, path string) error {
			if op == "read" && path == first {
				return syscall.EIO
			}
			return nil
		}, gone: two, why: Unread},
		{name: "a finished picture shows a dropped frame", before: func(w *wedding) {
			var b bytes.Buffer
			must(w.t, jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 60, 40)), nil))
			must(w.t, os.Mkdir(w.abs("finished"), 0o777))
			must(w.t, os.WriteFile(w.abs("finished/merge.jpg"), b.Bytes(), 0o666))
			w.open(func(j *job.Job) { must(w.t, j.SetFinished("finished/merge.jpg", w.ids[0], w.ids[1])) })
		}, gone: two, after: func(w *wedding, stayed map[string]Stay) {
			if stayed[first].Why != Finished {
				w.t.Errorf("%+v", stayed[first])
			}
		}},
		{name: "keepers have no finished picture", o: func(o *Options) { o.Unfinished = false }, fails: "2 keepers have no finished picture"},
		{name: "the bag lies in the job", before: func(w *wedding) {
			must(w.t, os.CopyFS(w.abs("bag"), os.DirFS(w.bags[0])))
		}, o: func(o *Options) { o.Bags = []string{"job/bag"} }, fails: "lies in the job's own folder"},
		{name: "two bags are one", before: func(w *wedding) {
			must(w.t, os.Symlink(w.bags[0], filepath.Join(w.dir, "link")))
		}, o: func(o *Options) { o.Bags = []string{"link"} }, fails: "is the same folder"},
	}
}

// Whatever is done to a job while it is freed: nothing but dropped raws goes, and of
// those none that is not in every place.
func TestHostile(t *testing.T) {
	for _, c := range hostiles() {
		t.Run(c.name, func(t *testing.T) {
			w := married(t)
			if c.before != nil {
				c.before(w)
			}
			o := ordinary()
			if c.o != nil {
				c.o(&o)
			}
			for i, dir := range o.Bags {
				o.Bags[i] = filepath.Join(w.dir, dir)
			}
			watch := &watch{}
			if c.during != nil {
				watch.before = func(n int, op, path string) error {
					err := c.during(w, op, path)
					if len(c.moved) == 0 && c.after == nil && (op == "rename" || op == "remove") {
						w.nothingLost("before "+op+" "+path, n)
					}
					return err
				}
			}
			was := map[string][]byte{}
			for _, p := range c.moved { // by the case itself
				was[p] = w.was[p]
			}
			sum, plan, err := w.free(watch.through(o))
			if c.fails == "" && err != nil || c.fails != "" && (err == nil || !strings.Contains(err.Error(), c.fails)) {
				t.Fatalf("the run ends with %v, want %q", err, c.fails)
			}
			stayed := map[string]Stay{}
			for _, s := range slices.Concat(plan.Stay, sum.Stayed) {
				stayed[s.Path] = s
			}
			if sum.Freed != len(c.gone) {
				t.Errorf("%d went, want %v; %+v", sum.Freed, c.gone, sum.Stayed)
			}
			for _, s := range sum.Stayed {
				if s.Why != c.why || s.Why != Changed && s.Why != TakenBack && s.Why != NotKept && s.What == "" {
					t.Errorf("%s stays: %s (%s), want %s", s.Path, s.Why, s.What, c.why)
				}
			}
			if c.after != nil {
				c.after(w, stayed)
			}
			for _, p := range mayGo {
				_, err := os.Lstat(w.abs(p))
				if is := errors.Is(err, os.ErrNotExist); is != slices.Contains(c.gone, p) && !slices.Contains(c.moved, p) {
					t.Errorf("%s is gone: %v", p, is)
				}
			}
			for p := range was {
				delete(w.was, p)
			}
			if c.fails == "" || c.before == nil {
				w.nothingLost("in the end", watch.n)
			}
			if astray := w.astray(watch.gone); len(astray) > 0 {
				t.Errorf("removed, moved or overwritten besides: %v", astray)
			}
			if b, err := os.ReadFile(filepath.Join(w.dir, "precious.DNG")); err == nil && string(b) != "precious" {
				t.Error("a file elsewhere was changed")
			}
		})
	}
}

// A small picture that lies is not believed, though the bag is valid: one of another
// file, and one that shows another frame.
func TestLyingBag(t *testing.T) {
	w := married(t)
	w.open(func(j *job.Job) {
		for _, dir := range w.bags {
			must(t, j.ForgetBag(dir))
		}
	})
	w.bags = nil
	w.lie = map[string]string{"A/T0002.DNG": "A/T0003.DNG", "A/T0003.DNG": ""}
	w.archive("three")
	sum, _, err := w.free(ordinary())
	must(t, err)
	if sum.Freed != 1 || len(sum.Stayed) != 2 || sum.Stayed[0].Why != Unproved || sum.Stayed[1].Why != Unproved {
		t.Fatalf("%+v", sum)
	}
	if !strings.Contains(sum.Stayed[0].What, errStrange.Error()) || !strings.Contains(sum.Stayed[1].What, errPicture.Error()) {
		t.Errorf("%+v", sum.Stayed)
	}
}

// Interrupted, what is done stands; the job that somebody has is left alone.
func TestInterrupted(t *testing.T) {
	w := married(t)
	ctx, cancel := context.WithCancel(context.Background())
	o := ordinary()
	o.Gone = func(File) { cancel() }
	w.open(func(j *job.Job) {
		work, err := Look(context.Background(), j, o)
		must(t, err)
		sum, err := work.Free(ctx)
		if !errors.Is(err, context.Canceled) || sum.Freed != 1 {
			t.Errorf("%+v %v", sum, err)
		}
		frames, err := j.Frames()
		must(t, err)
		if !frames[w.ids[1]].Freed() {
			t.Error("the catalogue does not know of it")
		}
	})
	w.nothingLost("interrupted", 0)
	w.open(func(j *job.Job) {
		claim, err := j.Claim()
		must(t, err)
		defer claim.Release()
		other, err := job.Open(w.root, job.Options{})
		must(t, err)
		work, err := Look(context.Background(), other, ordinary())
		must(t, err)
		var owned *job.OwnedError
		if sum, err := work.Free(context.Background()); !errors.As(err, &owned) || sum.Freed != 0 {
			t.Errorf("%+v %v", sum, err)
		}
	})
	if sum, _, err := w.free(ordinary()); err != nil || sum.Freed != 2 {
		t.Errorf("%+v %v", sum, err)
	}
}

// What was dropped unseen goes only if that is asked for.
func TestUnshown(t *testing.T) {
	w := married(t)
	o := ordinary()
	o.Unshown = true
	sum, _, err := w.free(o)
	if err != nil || sum.Freed != 4 {
		t.Errorf("%+v %v", sum, err)
	}
	if _, err := os.Lstat(w.abs("A/T0004.DNG")); !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
}

// What went in a run that was killed before the catalogue knew is no fault of the next.
func TestGoneInAKilledRun(t *testing.T) {
	w := married(t)
	p := w.paths[1]
	at := w.abs(cull.SmallPath(p))
	data, err := os.ReadFile(filepath.Join(w.bags[0], "data", "small", filepath.FromSlash(p)+".jpg"))
	must(t, errors.Join(err, os.MkdirAll(filepath.Dir(at), 0o777), os.WriteFile(at, data, 0o666)))
	w.open(func(j *job.Job) {
		b := w.read(p)
		_, err := j.Append(job.Freed(p, job.FreedFile{Frame: w.ids[1], Sum: sha256.Sum256(b), Bytes: int64(len(b))}))
		must(t, err)
	})
	must(t, os.Remove(w.abs(p)))
	if sum, _, err := w.free(ordinary()); err != nil || sum.Freed != 2 || len(sum.Stayed) != 0 {
		t.Errorf("%+v %v", sum, err)
	}
	w.open(func(j *job.Job) {
		frames, err := j.Frames()
		must(t, err)
		if !frames[w.ids[1]].Freed() {
			t.Error("the catalogue does not know of it")
		}
	})
	w.nothingLost("in the end", 0)
}
