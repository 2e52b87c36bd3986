package closing

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"garner/cull/closing/record"
	"garner/cull/job"
)

// Of the folder in which garner keeps what it knows only that is left out: anything else
// there goes along, or is named where it cannot.
func TestWalkLeavesOutGarnersOwnAlone(t *testing.T) {
	for state, want := range map[string]string{
		".garner": "[A/1.CR3 A/Thumbs/x.jpg A/catalog.db B/2.CR3]",
		"A":       "[A/1.CR3 A/Thumbs/x.jpg A/people.txt B/2.CR3]",
		".":       "[A/1.CR3 A/Thumbs/x.jpg A/catalog.db B/2.CR3]",
	} {
		t.Run(state, func(t *testing.T) {
			root := t.TempDir()
			put := func(p string) {
				t.Helper()
				name := filepath.Join(root, filepath.FromSlash(p))
				if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(name, []byte("x"), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			j, err := job.Open(root, job.Options{State: filepath.Join(root, state)})
			if err != nil {
				t.Fatal(err)
			}
			defer j.Close()
			for _, p := range []string{"A/1.CR3", "A/Thumbs/x.jpg", "B/2.CR3", state + "/cache/thumbs/1", state + "/catalog.db.damaged-1", state + "/journal.txt"} {
				put(p)
			}
			if state == "A" {
				put("A/people.txt")
			} else {
				put("A/catalog.db") // somebody's file of that name
			}
			f, err := walk(context.Background(), root, j.StateDir(), false)
			if err != nil || len(f.left) > 0 {
				t.Fatalf("%v %v", f.left, err)
			}
			var got []string
			for _, x := range f.files {
				got = append(got, x.path)
			}
			slices.Sort(got)
			if fmt.Sprint(got) != want {
				t.Errorf("%v, want %s", got, want)
			}
			put(".garner/journal-2.txt")
			put(".garner/letters/to a client.txt")
			f, err = walk(context.Background(), root, j.StateDir(), false)
			if err != nil || len(f.left) != 2 || f.left[0].Path != ".garner/journal-2.txt" || f.left[1].Path != ".garner/letters/to a client.txt" {
				t.Errorf("%v %v", f.left, err)
			}
		})
	}
}

// What a Mac keeps of a file beside it goes along; how its windows looked does not.
func TestFilesOfAMac(t *testing.T) {
	b := newBench(t)
	beside := "A/._" + filepath.Base(b.main(0))
	for p, text := range map[string]string{beside: "\x00\x05\x16\x07\x00\x02\x00\x00Mac OS X        \x00\x02labels", "A/._.DS_Store": "x", "A/.DS_Store": "x", "Thumbs.db": "x"} {
		if err := os.WriteFile(filepath.Join(b.dir, filepath.FromSlash(p)), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	b.run(Options{})
	r, err := record.Open(b.bag())
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for f, err := range r.Files() {
		if err != nil {
			t.Fatal(err)
		}
		if base := filepath.Base(f.Path); base[0] == '.' || base == "Thumbs.db" {
			said = append(said, f.Path+" at "+f.Bag)
		}
	}
	if want := []string{beside + " at data/job/" + beside}; !slices.Equal(said, want) {
		t.Errorf("%q, want %q", said, want)
	}
	// One that appears afterwards is not in the bag yet.
	if err := os.WriteFile(filepath.Join(b.dir, "._notes.txt"), []byte("x"), 0o666); err != nil {
		t.Fatal(err)
	}
	if s := b.stands(); s.Changed != 1 || s.First != "._notes.txt" {
		t.Errorf("%+v", s)
	}
}
