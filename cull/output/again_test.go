package output

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull/job"
)

// alone asks Alone of all that lies in the job.
func (b *bench) alone() []string {
	b.t.Helper()
	j, err := job.Open(b.dir, job.Options{Who: "test", ReadOnly: true})
	if err != nil {
		b.t.Fatal(err)
	}
	defer j.Close()
	found := func(folder string) (list []Found) {
		for p := range treeOf(b.t, filepath.Join(b.dir, folder)) {
			info, err := os.Stat(filepath.Join(b.dir, folder, filepath.FromSlash(p)))
			if err != nil {
				b.t.Fatal(err)
			}
			if p != LedgerName {
				list = append(list, Found{folder + "/" + p, info.Size(), info.ModTime().UnixNano()})
			}
		}
		return list
	}
	list, err := Alone(context.Background(), j, found(FinishedFolder), found(SetsFolder))
	if err != nil {
		b.t.Fatal(err)
	}
	slices.Sort(list)
	return list
}

// Files of sets that were worked on since they were cut, or whose pictures are others now,
// are not to be had again.
func TestAlone(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.put("b.jpg", finishedPicture(t, 2, day(11), "1001"))
	b.must(Options{})
	b.must(b.proofsOnly())
	is := func(what string, want ...string) {
		t.Helper()
		if got := b.alone(); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", what, got, want)
		}
	}
	is("as it was cut")
	if err := os.Remove(filepath.Join(b.dir, ".garner", seenName)); err != nil {
		t.Fatal(err)
	}
	later := time.Now()
	for _, p := range []string{"finished/b.jpg", "sets/online/b.jpg"} {
		if err := os.Chtimes(filepath.Join(b.dir, filepath.FromSlash(p)), later, later); err != nil {
			t.Fatal(err)
		}
	}
	is("nothing was seen, and times are others")

	online := filepath.Join(b.dir, "sets", "online", "a.jpg")
	whole, err := os.ReadFile(online)
	if err != nil {
		t.Fatal(err)
	}
	for what, do := range map[string]func() error{
		"as long as before": func() error {
			whole[len(whole)-40] ^= 1
			return os.WriteFile(online, whole, 0o666)
		},
		"longer": func() error { return os.WriteFile(online, append(slices.Clone(whole), 'x'), 0o666) },
	} {
		if err := do(); err != nil {
			t.Fatal(err)
		}
		is("changed, "+what, "sets/online/a.jpg")
	}
	page := filepath.Join(b.dir, "sets", "proofs", "index.html")
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(page, []byte(strings.Replace(string(text), "</body>", "<p>For Anna</p></body>", 1)), 0o666); err != nil {
		t.Fatal(err)
	}
	is("somebody wrote on the page", "sets/online/a.jpg", "sets/proofs/index.html")
	put(t, filepath.Join(b.dir, "sets", "proofs", "contact-mine.pdf"), []byte("%PDF-1.4 mine"))
	put(t, filepath.Join(b.dir, "sets", "lab", "mine.jpg"), []byte("mine"))
	is("some were put there", "sets/lab/mine.jpg", "sets/online/a.jpg", "sets/proofs/contact-mine.pdf", "sets/proofs/index.html")
	b.put("b.jpg", finishedPicture(t, 3, day(11), "1001"))
	got := b.alone()
	for _, set := range []string{"sets/lab/0002-b.jpg", "sets/online/b.jpg", "sets/screen/b.jpg", "sets/proofs/large/0002.jpg", "sets/proofs/small/0002.jpg"} {
		if !slices.Contains(got, set) {
			t.Errorf("its picture is another: %s is not in %q", set, got)
		}
	}
	if err := os.Remove(filepath.Join(b.dir, "finished", "b.jpg")); err != nil {
		t.Fatal(err)
	}
	if gone := b.alone(); !slices.Equal(gone, got) {
		t.Errorf("its picture is gone: %q", gone)
	}
}
