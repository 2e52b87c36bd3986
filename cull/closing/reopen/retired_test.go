package reopen

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/closing"
	"garner/cull/closing/free"
	"garner/cull/closing/record"
	"garner/store/volume"
)

// The originals of keepers that were freed as two bags have them come back from either bag,
// also when the job is archived again without them, and to a place that never had them.
func TestRetired(t *testing.T) {
	b := newBench(t)
	shelf := filepath.Dir(b.bag)
	second, third := filepath.Join(t.TempDir(), "second"), filepath.Join(t.TempDir(), "third")
	j := b.open(b.dir)
	archive := func(dirs ...string) {
		t.Helper()
		sum, err := closing.Run(context.Background(), j, closing.Options{Dirs: dirs})
		b.must(err)
		if n := sum.Failures(); n > 0 {
			t.Fatalf("%+v", sum)
		}
	}
	archive(shelf, second)
	whole := tree(t, b.dir)
	work, err := free.Look(context.Background(), j, free.Options{Retire: true, Unshown: true, Unfinished: true, VolumeOf: func(dir string) (volume.Volume, error) {
		v := volume.Volume{Disk: dir}
		v.Root = dir
		return v, nil
	}})
	b.must(err)
	gone, err := work.Free(context.Background())
	b.must(err)
	var kept []string
	for _, f := range work.Go {
		if f.Kept {
			kept = append(kept, f.Path)
		}
	}
	if len(kept) == 0 || gone.Freed != len(work.Go) {
		t.Fatalf("%+v", gone)
	}
	archive(shelf, second)
	archive(shelf, third)
	j.Close()
	for _, dir := range []string{b.bag, filepath.Join(third, filepath.Base(b.bag))} {
		b.bag = dir
		b.valid(dir)
		r, err := record.Open(dir)
		b.must(err)
		says := map[string]string{}
		for f, err := range r.Files() {
			b.must(err)
			says[f.Path] = f.Bag
		}
		again := filepath.Join(t.TempDir(), "again")
		b.reopen(again)
		is := tree(t, again)
		for _, p := range kept {
			if says[p] != record.JobFolder+"/"+p || is[p] != whole[p] {
				t.Errorf("%s: %s is said to be at %q, and is not what it was", dir, p, says[p])
			}
			if _, err := os.Lstat(filepath.Join(again, filepath.FromSlash(cull.SmallPath(p)))); err == nil {
				t.Errorf("the picture of %s stands beside it", p)
			}
		}
		j := b.open(again)
		b.prepare(j)
		s, err := j.Status()
		b.must(err)
		if want := gone.Freed - len(kept); s.Pictured != want || s.Freed != 0 || s.Gone != 0 || s.Frames != demoFrames {
			t.Errorf("%d of %d pictured, %d freed, want %d and none", s.Pictured, s.Frames, s.Freed, want)
		}
		j.Close()
	}
}
