package free

import (
	"context"
	"crypto/sha256"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/preview/small"
	"garner/store/archive"
	"garner/store/vfs"
	"garner/store/volume"
)

func retiring() Options {
	o := ordinary()
	o.Retire = true
	return o
}

// Keepers go when they are in two bags on two disks, and live on in the job as small
// pictures; what is open or material for a merge stays.
func TestRetire(t *testing.T) {
	w := married(t)
	sum, plan, err := w.free(retiring())
	must(t, err)
	if sum.Freed != 5 || len(plan.Go) != 5 || !plan.Go[0].Kept {
		t.Fatalf("%+v, %+v", sum, plan)
	}
	w.open(func(j *job.Job) {
		frames, err := j.Frames()
		must(t, err)
		for i, p := range w.paths {
			goes := answers[i] == cull.Yes || answers[i] == cull.No && i != 3
			if _, err := os.Lstat(w.abs(p)); errors.Is(err, os.ErrNotExist) != goes || frames[w.ids[i]].Freed() != goes {
				t.Errorf("%s: %v, freed %v", p, err, frames[w.ids[i]].Freed())
			}
			if !goes {
				continue
			}
			o, err := small.Check(w.read(cull.SmallPath(p)))
			if err != nil || o.Sum != sha256.Sum256(w.was[p]) || o.Path != p || cull.ID(o.Frame) != w.ids[i] {
				t.Errorf("%s: %+v, %v", p, o, err)
			}
		}
	})
	for _, bag := range w.bags {
		report, err := archive.Check(context.Background(), vfs.OS{}, bag, nil)
		if err != nil || !report.Valid() {
			t.Errorf("%s: %v %v", bag, report.Findings, err)
		}
	}
}

// Without two disks that are known to be two, nothing is retired, nor anything else.
func TestRetireWantsTwoDisks(t *testing.T) {
	w := married(t)
	for name, of := range map[string]func(string) volume.Volume{
		"one disk":     func(string) volume.Volume { return volume.Volume{Disk: "sda"} },
		"nobody knows": func(dir string) volume.Volume { return volume.Volume{Mount: vfs.Mount{Root: dir}} },
		"memory": func(dir string) volume.Volume {
			return volume.Volume{Mount: vfs.Mount{Root: dir}, Disk: dir, Memory: true}
		},
		"one server": func(dir string) volume.Volume {
			return volume.Volume{Mount: vfs.Mount{Root: dir, Source: "nas:" + dir}, Network: "nfs"}
		},
		"a shared disk": func(dir string) volume.Volume {
			return volume.Volume{Mount: vfs.Mount{Root: dir}, Disk: dir + "+sdb"}
		},
	} {
		o := retiring()
		o.VolumeOf = func(dir string) (volume.Volume, error) { return of(dir), nil }
		if sum, _, err := w.free(o); !errors.Is(err, ErrNoTwoBag) || sum.Freed != 0 {
			t.Errorf("%s: %+v %v", name, sum, err)
		}
	}
	w.nothingLost("refused", 0)
}

// A bag that was made of links has nothing of its own.
func TestRetireRefusesLinks(t *testing.T) {
	w := married(t)
	const p = "A/T0001.DNG"
	copied := filepath.Join(w.bags[0], "data", "job", "A", "T0001.DNG")
	must(t, os.Remove(copied))
	must(t, os.Link(w.abs(p), copied))
	sum, _, err := w.free(retiring())
	must(t, err)
	if sum.Freed != 4 || len(sum.Stayed) != 1 || sum.Stayed[0].Path != p || sum.Stayed[0].Why != Shared {
		t.Fatalf("%+v", sum)
	}
	// Where a file system does not count names, the file itself tells.
	dir, name, err := enter(w.root, p)
	must(t, err)
	defer dir.Close()
	info, err := dir.Lstat(name)
	must(t, err)
	b := &bag{testimony: testimony{dir: w.bags[0]}}
	if b.tags, err = archive.Open(vfs.OS{}, w.bags[0]); err != nil {
		t.Fatal(err)
	}
	f := File{Path: p, Bytes: info.Size(), Sum: sha256.Sum256(w.was[p])}
	if err := b.hasOriginal(context.Background(), vfs.OS{}, &original{info: info}, f, "data/job/"+p); !errors.Is(err, errVery) {
		t.Errorf("%v", err)
	}
}

// A keeper whose copy is spoilt after its bag was read stays.
func TestRetireReadsCopiesAgain(t *testing.T) {
	w, seen := married(t), &watch{}
	seen.before = func(_ int, op, path string) error {
		if op == "enter" && path == "A/T0008.DNG" {
			flip(t, filepath.Join(w.bags[1], "data", "job", "A", "T0008.DNG"), 9000)
		}
		return nil
	}
	sum, _, err := w.free(seen.through(retiring()))
	must(t, err)
	if sum.Freed != 4 || len(sum.Stayed) != 1 || sum.Stayed[0].Why != Unproved {
		t.Errorf("%+v", sum)
	}
	if got := w.read("A/T0008.DNG"); sha256.Sum256(got) != sha256.Sum256(w.was["A/T0008.DNG"]) {
		t.Error("the keeper is not what it was")
	}
}
