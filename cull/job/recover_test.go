package job_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
)

// decidedJob is a closed job of some frames with every kind of entry, and what
// was decided in it.
func decidedJob(t testing.TB) (dir string, want map[string]map[cull.ID]cull.Decision) {
	t.Helper()
	dir = t.TempDir()
	j := open(t, dir)
	fill(t, j, 24)
	must(t, j.SaveBodies([]cull.Body{{Key: "k1", Model: "Six"}}))
	_, err := j.Append(job.Letter("k1", "A"))
	must(t, err)
	s := session(t, j)
	for _, a := range []cull.Action{
		cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(0)}, Answer: cull.Yes, Shown: true},
		cull.DecideBurst{Pass: "keep", Frame: frameID(4), Answer: cull.No},
		cull.Only{Pass: "keep", Frame: frameID(9)},
		cull.Undo{},
		cull.Redo{},
		cull.DefinePass{Pass: cull.Pass{Name: "retouch", Source: cull.Source{Of: "keep", Answer: cull.Yes}}},
		cull.Decide{Pass: "retouch", Frames: []cull.ID{frameID(0)}, Answer: cull.Yes},
		cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(1)}, Answer: cull.Part},
		cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(1)}, Answer: cull.Open},
		cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(0)}, Answer: cull.No},
		cull.Undo{},
		cull.NameScene{Frame: frameID(1), Name: "Gärten\n2"},
	} {
		if _, err := do(t, j, s, a); err != nil {
			t.Fatalf("%#v: %v", a, err)
		}
	}
	sound(t, j)
	must(t, j.Close())
	return dir, decided(t, j)
}

// reopened opens a job that something was done to and compares.
func reopened(t *testing.T, dir string, want map[string]map[cull.ID]cull.Decision) *job.Job {
	t.Helper()
	j, err := job.Open(dir, options())
	if err != nil {
		t.Fatal(err)
	}
	same(t, "decisions", want, decided(t, j))
	sound(t, j)
	bodies, err := j.Bodies()
	must(t, err)
	if len(bodies) != 1 || bodies[0].Letter != "A" {
		t.Errorf("%+v", bodies)
	}
	// And it goes on from there.
	entries, err := j.Entries()
	must(t, err)
	kept, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{"on"}})
	must(t, err)
	if kept[0].Seq != entries[len(entries)-1].Seq+1 {
		t.Errorf("entry %d follows %d", kept[0].Seq, entries[len(entries)-1].Seq)
	}
	sound(t, j)
	if again := open(t, dir); len(again.Recovered()) != 0 {
		// Damaged lines stay, and only looking at them again would say so again.
		t.Errorf("opened again: %q", again.Recovered())
	}
	return j
}

func said(t *testing.T, j *job.Job, words ...string) {
	t.Helper()
	all := strings.Join(j.Recovered(), "\n")
	for _, w := range words {
		if !strings.Contains(all, w) {
			t.Errorf("nothing is said of %q: %q", w, all)
		}
	}
}

func catalogFile(dir string) string { return filepath.Join(dir, ".garner", "catalog.db") }
func journalFile(dir string) string { return filepath.Join(dir, ".garner", "journal.txt") }

// restore puts the state folder back as it was.
func snapshot(t testing.TB, dir string) (restore func()) {
	t.Helper()
	files := map[string][]byte{}
	for _, f := range []string{catalogFile(dir), journalFile(dir), catalogFile(dir) + ".lock"} {
		b, err := os.ReadFile(f)
		must(t, err)
		files[f] = b
	}
	return func() {
		must(t, os.RemoveAll(filepath.Join(dir, ".garner")))
		must(t, os.MkdirAll(filepath.Join(dir, ".garner"), 0o777))
		for f, b := range files {
			must(t, os.WriteFile(f, b, 0o666))
		}
	}
}

func TestCatalogueIsLost(t *testing.T) {
	dir, want := decidedJob(t)
	restore := snapshot(t, dir)
	for name, spoil := range map[string]func() error{
		"deleted":       func() error { return os.Remove(catalogFile(dir)) },
		"deleted whole": func() error { os.Remove(catalogFile(dir) + ".lock"); return os.Remove(catalogFile(dir)) },
		"empty":         func() error { return os.WriteFile(catalogFile(dir), nil, 0o666) },
		"garbage":       func() error { return os.WriteFile(catalogFile(dir), bytes.Repeat([]byte("garbage"), 9999), 0o666) },
		"zeros":         func() error { return os.WriteFile(catalogFile(dir), make([]byte, 65536), 0o666) },
		"a few bytes":   func() error { return os.WriteFile(catalogFile(dir), []byte{1, 2, 3}, 0o666) },
	} {
		t.Run(name, func(t *testing.T) {
			restore()
			must(t, spoil())
			j := reopened(t, dir, want)
			if !j.NeedsScan() {
				t.Error("no frames, and no scan wanted")
			}
			aside, _ := filepath.Glob(catalogFile(dir) + ".damaged-*")
			if lost := strings.HasPrefix(name, "deleted") || name == "empty"; lost {
				said(t, j, "the catalogue was missing; 13 entries came back")
				if len(aside) != 0 {
					t.Errorf("%q", aside)
				}
			} else {
				said(t, j, "damaged", "catalog.db.damaged-1", "13 entries came back")
				if len(aside) != 1 {
					t.Errorf("%q", aside)
				}
			}
			// The frames come back with the scan, and the decisions are theirs.
			fill(t, j, 24)
			sound(t, j)
			if got := session(t, j).Progress("keep"); got.Yes != 2 {
				t.Errorf("%+v", got)
			}
		})
	}
}

func TestCatalogueIsDamaged(t *testing.T) {
	dir, want := decidedJob(t)
	restore := snapshot(t, dir)
	b, err := os.ReadFile(catalogFile(dir))
	must(t, err)
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	saved := 0
	try := func(what string, damaged []byte) {
		t.Run(what, func(t *testing.T) {
			restore()
			must(t, os.WriteFile(catalogFile(dir), damaged, 0o666))
			j := reopened(t, dir, want)
			if !j.NeedsScan() {
				saved++
			}
		})
	}
	for _, n := range []int{1, 100, 4096, 8192, 8193, len(b) / 3, len(b) / 2, len(b) - 4096, len(b) - 1} {
		try(fmt.Sprintf("cut at %d", n), b[:n])
	}
	for i := range 24 {
		damaged := bytes.Clone(b)
		at := r.IntN(len(b))
		if i%2 == 0 { // where the pages' numbers are
			at = r.IntN(len(b)/4096)*4096 + r.IntN(64)
		}
		damaged[at] ^= byte(1 + r.IntN(255))
		try(fmt.Sprintf("flipped at %d", at), damaged)
	}
	for i := range 6 {
		damaged := bytes.Clone(b)
		page := r.IntN(len(b) / 4096)
		for k := range 4096 {
			damaged[page*4096+k] = byte(r.Uint32())
		}
		try(fmt.Sprintf("page %d overwritten %d", page, i), damaged)
	}
	if saved == 0 {
		t.Error("no frames were ever saved from a damaged catalogue")
	}
}

func TestJournalText(t *testing.T) {
	dir, want := decidedJob(t)
	restore := snapshot(t, dir)
	text, err := os.ReadFile(journalFile(dir))
	must(t, err)
	lines := bytes.SplitAfter(text, []byte("\n"))
	lines = lines[:len(lines)-1]
	if len(lines) != 13 {
		t.Fatalf("%d lines", len(lines))
	}
	whole := func(t *testing.T) { // every line of before is there again, whatever the order
		t.Helper()
		now, err := os.ReadFile(journalFile(dir))
		must(t, err)
		for _, line := range lines {
			if !bytes.Contains(now, line) {
				t.Errorf("the line is missing: %s", line)
			}
		}
	}
	for _, c := range []struct {
		name string
		text func() []byte
		said string
	}{
		{"missing", nil, "written anew"},
		{"empty", func() []byte { return nil }, "lacked 13 lines"},
		{"one line short", func() []byte { return text[:len(text)-len(lines[12])] }, "lacked 1 line;"},
		{"torn", func() []byte { return text[:len(text)-len(lines[12])/2] }, "torn"},
		{"without its last newline", func() []byte { return text[:len(text)-1] }, ""},
		{"a line in the middle gone", func() []byte { return bytes.Join(append(lines[:5:5], lines[6:]...), nil) }, "lacked 1 line;"},
	} {
		t.Run(c.name, func(t *testing.T) {
			restore()
			if c.text == nil {
				must(t, os.Remove(journalFile(dir)))
			} else {
				must(t, os.WriteFile(journalFile(dir), c.text(), 0o666))
			}
			j := reopened(t, dir, want)
			said(t, j, c.said)
			whole(t)
		})
	}
	t.Run("a damaged line in the middle", func(t *testing.T) {
		restore()
		spoilt := bytes.Clone(text)
		spoilt[len(lines[0])+5] ^= 1
		spoilt = append(spoilt, "a note by hand\n"...)
		must(t, os.WriteFile(journalFile(dir), spoilt, 0o666))
		j := open(t, dir)
		same(t, "decisions", want, decided(t, j))
		said(t, j, "line 2 of journal.txt is passed over", "line 14 of journal.txt is passed over")
		whole(t)
		now, err := os.ReadFile(journalFile(dir))
		must(t, err)
		if !bytes.HasPrefix(now, spoilt) {
			t.Error("the damaged line was not kept")
		}
		// It is a finding of verify as long as it is there.
		if found, err := j.Check(); err != nil || len(found) != 2 {
			t.Errorf("%q %v", found, err)
		}
	})
}

// Catalogue lost and journal torn at once, at every length: what the whole lines
// say is there, and nothing else.
func TestTornJournalAlone(t *testing.T) {
	dir, _ := decidedJob(t)
	text, err := os.ReadFile(journalFile(dir))
	must(t, err)
	for n := 0; n < len(text); n += 37 {
		fresh := t.TempDir()
		must(t, os.Mkdir(filepath.Join(fresh, ".garner"), 0o777))
		must(t, os.WriteFile(journalFile(fresh), text[:n], 0o666))
		j := open(t, fresh)
		entries, err := j.Entries()
		must(t, err)
		want := bytes.Count(text[:n], []byte("\n"))
		if text[n] == '\n' {
			want++ // only the newline is missing
		}
		if len(entries) != want {
			t.Errorf("%d bytes: %d entries, %d lines", n, len(entries), want)
		}
		sound(t, j)
	}
}

// A catalogue from an old backup beside a journal that went on.
func TestCatalogueFromABackup(t *testing.T) {
	dir, _ := decidedJob(t)
	old, err := os.ReadFile(catalogFile(dir))
	must(t, err)
	j := open(t, dir)
	s := session(t, j)
	for i := 12; i < 20; i++ {
		if _, err := do(t, j, s, cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(i)}, Answer: cull.Yes}); err != nil {
			t.Fatal(err)
		}
	}
	want := decided(t, j)
	must(t, os.WriteFile(catalogFile(dir), old, 0o666))
	j = reopened(t, dir, want)
	said(t, j, "the catalogue lacked 8 entries")
	if j.NeedsScan() {
		t.Error("the frames are gone")
	}
}

// Another entry under a number that the catalogue has given: the catalogue
// stands, and it is said.
func TestJournalsDisagree(t *testing.T) {
	dir, want := decidedJob(t)
	j := open(t, dir)
	entries, err := j.Entries()
	must(t, err)
	forged := entries[1]
	forged.Who = "somebody else"
	text, err := os.ReadFile(journalFile(dir))
	must(t, err)
	text = append([]byte(cull.FormatEntry(forged)+"\n"), text...)
	must(t, os.WriteFile(journalFile(dir), text, 0o666))
	j = open(t, dir)
	said(t, j, "disagree on 1 entry", "another entry 2 came before it")
	same(t, "decisions", want, decided(t, j))
	if found, err := j.Check(); err != nil || len(found) == 0 {
		t.Errorf("%q %v", found, err)
	}
}

func TestCopyJournal(t *testing.T) {
	dir, want := decidedJob(t)
	j := open(t, dir)
	dest := filepath.Join(t.TempDir(), "journal.txt")
	must(t, os.WriteFile(dest, []byte("old"), 0o666))
	must(t, j.CopyJournal(dest))
	// The other machine's copy is all that is left.
	fresh := t.TempDir()
	must(t, os.Mkdir(filepath.Join(fresh, ".garner"), 0o777))
	b, err := os.ReadFile(dest)
	must(t, err)
	must(t, os.WriteFile(journalFile(fresh), b, 0o666))
	reopened(t, fresh, want)
	if err := j.CopyJournal(filepath.Join(dir, "none", "journal.txt")); err == nil {
		t.Error("a copy into a folder that is not there")
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(dest), "*")); len(left) != 1 {
		t.Errorf("%q", left)
	}
}
