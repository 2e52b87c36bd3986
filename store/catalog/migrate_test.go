package catalog_test

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"garner/store/catalog"
	"garner/store/catalog/catalogtest"
)

// With -update the file of the present form is written anew. Files of earlier
// forms are never touched again: they are what migrations are tested with.
var update = flag.Bool("update", false, "write testdata/vN.db of the present form")

var (
	oldState = catalog.State{Answer: 1, Who: "anna", At: time.Date(2026, 6, 13, 12, 2, 11, 130e6, time.UTC), Shown: true, Explicit: true, Seq: 1}
	oldEntry = catalog.Entry{Line: "keep #0123456789abcdef", Replaced: []catalog.State{{}}}
	oldCard  = catalog.Card{Label: "EOS_DIGITAL", VolumeID: "1A2B-3C4D", Bodies: []string{"A Maker 5"}, First: "A/IMG_0001", Last: "A/IMG_0420",
		From: time.Date(2026, 6, 13, 14, 2, 11, 0, time.UTC), Until: time.Date(2026, 6, 13, 23, 50, 0, 0, time.UTC), Frames: 420, Files: 845,
		Bytes: 12 << 30, Destinations: []string{"/jobs/0613", "/mirror/0613"}, Why: []string{"one file could not be read"}, At: time.Date(2026, 6, 14, 9, 0, 0, 0, time.UTC)}
	oldLayout = catalog.Layout{
		Places: []catalog.Place{{Frame: "0123456789abcdef", Kind: 3, Series: 2, Alike: 7, Corrected: sampleFrame(1).Taken}},
		Scenes: []catalog.Scene{{Name: "01", First: "0123456789abcdef"}},
	}
)

func TestOldFiles(t *testing.T) {
	present := filepath.Join("testdata", fmt.Sprintf("v%d.db", catalog.Schema()))
	if *update {
		must(t, os.MkdirAll("testdata", 0o777))
		must(t, os.RemoveAll(present))
		writeOld(t, present)
		must(t, os.Remove(present+".lock"))
	}
	for v := 1; v <= catalog.Schema(); v++ {
		t.Run(fmt.Sprintf("v%d", v), func(t *testing.T) {
			b, err := os.ReadFile(filepath.Join("testdata", fmt.Sprintf("v%d.db", v)))
			must(t, err)
			path := filepath.Join(t.TempDir(), "catalog.db")
			must(t, os.WriteFile(path, b, 0o666))
			db := catalog.New(path, catalog.Options{})
			must(t, db.View(func(tx *catalog.Tx) error { readOld(t, tx, v); return nil }))
			must(t, db.Update(func(*catalog.Tx) error { return nil }))
			must(t, db.View(func(tx *catalog.Tx) error {
				readOld(t, tx, v)
				if n, _, err := tx.Meta().Get("schema"); err != nil || n != int64(catalog.Schema()) {
					t.Errorf("form %d, %v", n, err)
				}
				return nil
			}))
			catalogtest.Check(t, path)
		})
	}
}

func writeOld(t *testing.T, path string) {
	db := catalog.New(path, catalog.Options{})
	_, err := db.Repair()
	must(t, err)
	must(t, db.Update(func(tx *catalog.Tx) error {
		const id = "0123456789abcdef"
		f := sampleFrame(1)
		for _, file := range f.Files {
			must(t, tx.Paths().Put(file.Path, catalog.Path{Frame: id, Size: file.Size, Mod: file.Mod, Head: file.Head}))
		}
		return errors.Join(
			tx.Frames().Put(id, f), tx.Bodies().Put(f.Body, catalog.Body{Make: "Maker", Serial: "012021001234"}),
			tx.Aliases().Put("fedcba9876543210", id), tx.Passes().Put("keep", catalog.Pass{}),
			tx.State("keep").Put(id, oldState), tx.Journal().Put(catalog.SeqKey(1), oldEntry),
			tx.Corrections().Put(catalog.SeqKey(2), "letter k A"), tx.Evidence("sharp").Put(id, []byte{9}),
			tx.Wrote().Put("A/IMG_0001.xmp", []byte("Rating=1")), tx.Layout().Put(oldLayout),
			tx.Others().Put([]catalog.Other{{Path: "notes.txt", Why: "no picture"}}), tx.Cards().Put("c1", oldCard),
		)
	}))
}

// readOld reads what a file of a form holds; form 1 had no cards, and up to form 2
// the order knew no kinds of series and no look-alikes.
func readOld(t *testing.T, tx *catalog.Tx, form int) {
	t.Helper()
	card, there, err := tx.Cards().Get("c1")
	must(t, err)
	if there != (form >= 2) || there && !cmp.Equal(oldCard, card) {
		t.Errorf("form %d, card there: %v\n%s", form, there, cmp.Diff(oldCard, card))
	}
	const id = "0123456789abcdef"
	f, _, err1 := tx.Frames().Get(id)
	s, _, err2 := tx.State("keep").Get(id)
	e, _, err3 := tx.Journal().Get(catalog.SeqKey(1))
	l, err4 := tx.Layout().Get()
	w, _, err5 := tx.Wrote().Get("A/IMG_0001.xmp")
	must(t, errors.Join(err1, err2, err3, err4, err5))
	wantLayout := catalog.Layout{Places: slices.Clone(oldLayout.Places), Scenes: oldLayout.Scenes}
	if form < 3 {
		wantLayout.Places[0].Series, wantLayout.Places[0].Alike = 0, 0
	}
	for _, d := range []string{cmp.Diff(sampleFrame(1), f), cmp.Diff(oldState, s), cmp.Diff(oldEntry, e), cmp.Diff(wantLayout, l), cmp.Diff("Rating=1", string(w))} {
		if d != "" {
			t.Error(d)
		}
	}
}

func TestNewerFileIsRefused(t *testing.T) {
	db := catalog.New(filepath.Join(t.TempDir(), "catalog.db"), catalog.Options{})
	_, err := db.Repair()
	must(t, err)
	must(t, db.Update(func(tx *catalog.Tx) error { return tx.Meta().Put("schema", int64(catalog.Schema())+1) }))
	nothing := func(*catalog.Tx) error { return nil }
	if err := db.View(nothing); !errors.Is(err, catalog.ErrNewer) {
		t.Errorf("view: %v", err)
	}
	if err := db.Update(nothing); !errors.Is(err, catalog.ErrNewer) {
		t.Errorf("update: %v", err)
	}
}
