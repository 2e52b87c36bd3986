package reopen

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"garner/cull/closing/free"
)

// Archived, freed, opened and handed off again, a job says what it did, with its sidecars
// byte for byte; also when it is archived once more after its originals are gone.
func TestFreed(t *testing.T) {
	b := newBench(t)
	j := b.open(b.dir)
	work, err := free.Look(context.Background(), j, free.Options{Unshown: true, Unfinished: true})
	b.must(err)
	b.must(work.Refused())
	gone, err := work.Free(context.Background())
	b.must(err)
	if gone.Freed == 0 || gone.Faults() > 0 {
		t.Fatalf("%+v", gone)
	}
	b.prepare(j)
	b.handOver(j)
	if s, err := j.Status(); err != nil || s.Freed != gone.Freed || s.Pictured != 0 {
		t.Errorf("%d freed, %d pictured, %v", s.Freed, s.Pictured, err)
	}
	was, old := b.known(j), tree(t, b.dir)
	before := b.opened(t, gone.Freed)
	b.archive(j, filepath.Dir(b.bag))
	j.Close()
	b.valid(b.bag)

	dir := b.opened(t, gone.Freed)
	j = b.open(dir)
	defer j.Close()
	b.same(was, b.known(j))
	b.prepare(j)
	b.handOver(j)
	b.same(was, b.known(j))
	// The journal tells of what was freed there; here nothing was.
	s, err := j.Status()
	b.must(err)
	if s.Freed != 0 || s.Pictured != gone.Freed {
		t.Errorf("%d freed, %d pictured, want %d", s.Freed, s.Pictured, gone.Freed)
	}
	is := tree(t, dir)
	delete(old, ".garner/journal.txt")
	delete(old, ".garner/manifest-sha256.txt")
	for p, sum := range old {
		if is[p] != sum {
			t.Errorf("%s is not what it was", p)
		}
		if filepath.Ext(p) == ".xmp" {
			if first := tree(t, before)[p]; first != sum {
				t.Errorf("%s is another one in the job that was opened before", p)
			}
		}
	}
}

// opened is a job of the bag, in which so many frames live on in small pictures.
func (b *bench) opened(t *testing.T, smalls int) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "again")
	if sum := b.reopen(dir); sum.Smalls != smalls {
		t.Errorf("%+v", sum)
	}
	if _, err := os.Stat(filepath.Join(dir, "small")); err != nil {
		t.Error(err)
	}
	return dir
}
