package intake

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"garner/cull/job"
	"garner/cull/prepare"
)

// The protect key's attribute reaches the job as a note, which outlives the
// catalogue, and the frame as a fact; the copy can be written to.
func TestProtectionIsCarriedAlong(t *testing.T) {
	j := openJob(t)
	card := realCard(t, "1001", 1, 4)
	lock := func(root string, names ...string) {
		t.Helper()
		for _, n := range names {
			if err := os.Chmod(filepath.Join(root, n), 0o444); err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { os.Chmod(filepath.Join(root, n), 0o666) })
		}
	}
	lock(card, "DCIM/100LUMOR/LUM_0002.DNG")
	run := func(cards ...string) {
		t.Helper()
		rep, err := Run(context.Background(), j, Options{Sources: cards, VolumeOf: eachItsDisk})
		if err != nil || rep.Bad() > 0 || len(rep.Warnings) > 0 {
			t.Fatal(err, rep.Warnings)
		}
	}
	want := func(when string, names ...string) {
		t.Helper()
		if _, err := prepare.Scan(context.Background(), j); err != nil {
			t.Fatal(err)
		}
		frames, err := j.Frames()
		if err != nil {
			t.Fatal(err)
		}
		protected := map[string]bool{}
		for _, f := range frames {
			if f.Shot.Protected {
				protected[f.Name] = true
			}
		}
		for _, n := range names {
			if !protected[n] {
				t.Errorf("%s: %s is not protected", when, n)
			}
		}
		if len(protected) != len(names) {
			t.Errorf("%s: protected are %v", when, protected)
		}
	}
	want("before", []string{}...)
	run(card)
	want("copied", "A/LUM_0002")
	if info, err := os.Stat(filepath.Join(j.Root(), "A", "LUM_0002.DNG")); err != nil || info.Mode().Perm()&0o200 == 0 {
		t.Errorf("the copy is locked too: %v, %v", info.Mode(), err)
	}
	// Protected later, and the card put in again: nothing is copied, it is noted.
	lock(card, "DCIM/100LUMOR/LUM_0003.DNG")
	run(card)
	want("put in again", "A/LUM_0002", "A/LUM_0003")

	// Where everything is locked the card was mounted so; a folder is no card.
	all, folder := realCard(t, "1002", 1, 1), t.TempDir()
	lock(all, "DCIM/100LUMOR/LUM_0001.DNG")
	for _, n := range []string{"x.DNG", "y.DNG"} {
		if err := os.WriteFile(filepath.Join(folder, n), largeFile(t, "1003", len(n)+int(n[0])), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	lock(folder, "x.DNG")
	run(all, folder)
	want("other sources", "A/LUM_0002", "A/LUM_0003")

	// A moved file is still the frame that was protected, and the catalogue comes
	// back from the journal.
	if err := os.Rename(filepath.Join(j.Root(), "A", "LUM_0003.DNG"), filepath.Join(j.Root(), "A", "moved.DNG")); err != nil {
		t.Fatal(err)
	}
	want("moved", "A/LUM_0002", "A/moved")
	if err := os.Remove(filepath.Join(j.StateDir(), "catalog.db")); err != nil {
		t.Fatal(err)
	}
	var err error
	if j, err = job.Open(j.Root(), job.Options{Who: "anna"}); err != nil {
		t.Fatal(err)
	}
	want("after a lost catalogue", "A/LUM_0002") // the note is of the path
}

// A folder with a job in it may be taken in; its templates of faces may not.
func TestTemplatesStayWhereTheyAre(t *testing.T) {
	j := openJob(t)
	folder := t.TempDir()
	state := filepath.Join(folder, "Last week", stateFolder)
	if err := os.MkdirAll(state, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, n := range []string{"people.db", "people.db.old", "people.db.new", "journal.txt"} {
		if err := os.WriteFile(filepath.Join(state, n), []byte(job.PeopleBegins+n), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	rep, err := Run(context.Background(), j, Options{Sources: []string{folder}, VolumeOf: eachItsDisk})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(rep.Cards[0].Failed); n != 3 || rep.Cards[0].Safe {
		t.Errorf("%d files were left and said: %+v", n, rep.Cards[0].Failed)
	}
	var came []string
	err = filepath.WalkDir(j.Root(), func(p string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() && filepath.Dir(p) != j.StateDir() {
			came = append(came, filepath.Base(p))
		}
		return err
	})
	if err != nil || len(came) != 1 || came[0] != "journal.txt" {
		t.Errorf("%v came, %v", came, err)
	}
}
