package verify

import (
	"crypto/sha256"
	"os"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/job"
)

// A file that was freed is not missed, wherever the freeing was interrupted; one that
// the journal speaks of without having known it is.
func TestFreedIsNotMissing(t *testing.T) {
	b := newBench(t, map[string]string{"A/1": "one", "A/2": "second", "A/3": "third", "A/4": "fourth", "A/5": "fifth"})
	b.run(true)
	free := func(p, data string) {
		t.Helper()
		if _, err := b.j.Append(job.Freed(p, job.FreedFile{Frame: "0123456789abcdef", Sum: sha256.Sum256([]byte(data)), Bytes: int64(len(data))})); err != nil {
			t.Fatal(err)
		}
	}
	remove := func(p string) {
		t.Helper()
		if err := os.Remove(filepath.Join(b.j.Root(), filepath.FromSlash(p))); err != nil {
			t.Fatal(err)
		}
	}
	free("A/1", "one") // and killed before it was removed
	free("A/2", "second")
	remove("A/2") // and killed before the manifest let it go
	free("A/3", "third")
	remove("A/3")
	if err := b.j.RenameManifest(map[string]string{"A/3": ""}); err != nil {
		t.Fatal(err)
	}
	free("A/4", "another file")
	remove("A/4")
	remove("A/5")
	sum, states := b.run(false)
	if sum.Files[Freed] != 2 || sum.Files[Same] != 1 || sum.Bad() != 2 || states["A/4"] != Missing || states["A/5"] != Missing || len(states) != 2 {
		t.Errorf("%+v %v", sum, states)
	}

	// The small picture that stays is a file like others, once it is recorded.
	p := cull.SmallPath("A/2")
	b.put(p, "small")
	b.know(map[string]string{p: "small"})
	b.run(true)
	b.put(p, "smell")
	if _, states := b.run(false); states[p] != Changed {
		t.Errorf("%v", states)
	}
}
