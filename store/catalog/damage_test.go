package catalog_test

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/store/catalog"
	"garner/store/catalog/catalogtest"
)

const damagedFrames = 60

// sound is a catalogue with branch pages, nested and inline buckets and free
// pages, as bytes.
func sound(t testing.TB) []byte {
	t.Helper()
	path := filepath.Join(t.TempDir(), "catalog.db")
	db := catalog.New(path, catalog.Options{})
	_, err := db.Repair()
	must(t, err)
	fill(t, db, damagedFrames)
	for i := range 10 { // leaves free pages behind
		must(t, db.Update(func(tx *catalog.Tx) error {
			must(t, tx.State("keep").Put(sampleID(i), catalog.State{Answer: 1, Seq: uint64(i + 1)}))
			return tx.Journal().Put(catalog.SeqKey(uint64(i+1)), catalog.Entry{Line: "line", Replaced: []catalog.State{{}}})
		}))
	}
	b, err := os.ReadFile(path)
	must(t, err)
	return b
}

// tried is what is demanded of every file: it is used as it is, or it is
// ErrDamaged; Repair makes it good; and what Repair saves is true.
func tried(t *testing.T, b []byte) {
	t.Helper()
	dir := t.TempDir()
	path := filepath.Join(dir, "catalog.db")
	must(t, os.WriteFile(path, b, 0o666))
	db := catalog.New(path, catalog.Options{})
	for _, run := range []func(func(*catalog.Tx) error) error{db.View, db.Update} {
		err := run(func(tx *catalog.Tx) error { return onlyTruth(t, tx) })
		if err != nil && !errors.Is(err, catalog.ErrDamaged) && !errors.Is(err, catalog.ErrMissing) {
			t.Fatalf("%v", err)
		}
	}
	rep, err := db.Repair()
	must(t, err)
	must(t, db.Update(func(tx *catalog.Tx) error { return onlyTruth(t, tx) }))
	if rep.Damage != nil {
		kept, err := os.ReadFile(filepath.Join(dir, rep.SetAside))
		if err != nil || len(kept) == 0 {
			t.Fatalf("%v: the damaged file was not kept: %v", rep.Damage, err)
		}
	}
	// A bucket's records lost, others that refer to them saved: the references
	// are mended by whoever knows what they mean. Everything else must be good.
	found, err := catalog.Check(path)
	must(t, err)
	for _, p := range found {
		if p.Code != "reference" {
			t.Fatalf("after repair: %+v", p)
		}
	}
}

// onlyTruth checks that every record that can be read is one that was written.
func onlyTruth(t *testing.T, tx *catalog.Tx) error {
	for i := range damagedFrames {
		f, ok, err := tx.Frames().Get(sampleID(i))
		if err != nil {
			return err
		}
		if d := cmp.Diff(sampleFrame(i), f); ok && d != "" {
			t.Fatalf("frame %d came back as another: %s", i, d)
		}
	}
	return nil
}

func TestTruncated(t *testing.T) {
	b := sound(t)
	sizes := []int{1, 79, 80, 81, 1023, 1024, 4095, 4096, 4097, 8191, 8192, 8193, 12288, 16384, len(b) - 1, len(b) - 4096, len(b) / 2}
	for i := 2; i < len(b)/4096; i += 7 {
		sizes = append(sizes, i*4096, i*4096+17)
	}
	for _, n := range sizes {
		tried(t, b[:n])
	}
}

func TestGarbage(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{1, 100, 4096, 16384, 40000} {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(r.Uint32())
		}
		tried(t, b)
		tried(t, make([]byte, n))
		tried(t, bytes.Repeat([]byte("keep A/IMG_0001\n"), n/16+1))
	}
}

func TestFlipped(t *testing.T) {
	b := sound(t)
	flip := func(at int, mask byte) {
		damaged := bytes.Clone(b)
		damaged[at] ^= mask
		tried(t, damaged)
	}
	// Every field of the first pages' headers and elements, where the numbers
	// are that lead a reader on.
	for _, at := range []int{0, 8, 10, 12, 16, 21, 24, 28, 35, 48, 56, 64} {
		for page := range 6 {
			flip(page*4096+at, 0x41)
		}
	}
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	for range 50 {
		flip(r.IntN(len(b)), byte(1+r.IntN(255)))
	}
}

// What one broken page holds is lost; the rest is saved.
func TestRepairSavesTheRest(t *testing.T) {
	b := sound(t)
	at := bytes.Index(b, []byte("85 mm f/1.4")) // in the record of some frame
	b[at] ^= 1
	path := filepath.Join(t.TempDir(), "catalog.db")
	must(t, os.WriteFile(path, b, 0o666))
	db := catalog.New(path, catalog.Options{})
	rep, err := db.Repair()
	must(t, err)
	if rep.Damage == nil || rep.SetAside != "catalog.db.damaged-1" {
		// The record may have been an old version on a free page: then the test
		// tests nothing.
		t.Fatalf("%+v", rep)
	}
	must(t, db.View(func(tx *catalog.Tx) error {
		if n := tx.Frames().Len(); n != damagedFrames-1 {
			t.Errorf("%d of %d frames saved", n, damagedFrames)
		}
		if n := tx.State("keep").Len(); n != 10 {
			t.Errorf("%d of 10 answers saved", n)
		}
		return nil
	}))
	// The next one set aside does not replace the first.
	must(t, os.WriteFile(path, b, 0o666))
	if rep, err = db.Repair(); err != nil || rep.SetAside != "catalog.db.damaged-2" {
		t.Errorf("%+v %v", rep, err)
	}
}

// A page that leads to itself would send a trusting reader in circles.
func TestCircle(t *testing.T) {
	b := sound(t)
	changed := false
	for page := 2; page < len(b)/4096; page++ {
		p := b[page*4096:]
		if p[8] == 1 { // a branch: its first child becomes itself
			copy(p[16+8:16+16], p[:8])
			changed = true
		}
	}
	if !changed {
		t.Fatal("the catalogue has no branch page")
	}
	tried(t, b)
}

// The clean mark is what saves the examination, and a change without it is
// noticed.
func TestChangeAfterCleanEnd(t *testing.T) {
	db := catalogtest.New(t)
	fill(t, db, 40)
	b, err := os.ReadFile(db.Path())
	must(t, err)
	must(t, os.WriteFile(db.Path(), bytes.ReplaceAll(b, []byte("85 mm"), []byte("58 mm")), 0o666))
	if err := db.View(func(*catalog.Tx) error { return nil }); !errors.Is(err, catalog.ErrDamaged) {
		t.Fatalf("%v", err)
	}
	_, err = db.Repair()
	must(t, err)
	must(t, db.Update(func(tx *catalog.Tx) error { // leave nothing that refers to lost records
		for _, path := range tx.Paths().Keys() {
			must(t, tx.Paths().Delete(path))
		}
		return tx.Layout().Put(catalog.Layout{})
	}))
}

// A half-made file of an earlier try is in nobody's way.
func TestRepairAfterAnInterruptedRepair(t *testing.T) {
	b := sound(t)
	path := filepath.Join(t.TempDir(), "catalog.db")
	must(t, os.WriteFile(path, bytes.ReplaceAll(b, []byte("85 mm"), []byte("58 mm")), 0o666))
	must(t, os.WriteFile(path+".new", b[:100], 0o666))
	db := catalog.New(path, catalog.Options{})
	rep, err := db.Repair()
	if err != nil || rep.Damage == nil || rep.Saved == 0 {
		t.Fatalf("%+v %v", rep, err)
	}
	if _, err := os.Stat(path + ".new"); !os.IsNotExist(err) {
		t.Errorf("%v", err)
	}
	if _, err := db.Repair(); err != nil {
		t.Error(err)
	}
}

// A catalogue of a newer version is sound: it is refused, never set aside.
func TestRepairLeavesANewerFileAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "catalog.db")
	db := catalog.New(path, catalog.Options{})
	_, err := db.Repair()
	must(t, err)
	must(t, db.Update(func(tx *catalog.Tx) error { return tx.Meta().Put("schema", 99) }))
	if rep, err := db.Repair(); err != nil || rep != (catalog.Repaired{}) {
		t.Errorf("%+v %v", rep, err)
	}
	if err := db.View(func(*catalog.Tx) error { return nil }); !errors.Is(err, catalog.ErrNewer) {
		t.Errorf("%v", err)
	}
}
