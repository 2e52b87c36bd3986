package catalog_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"garner/store/catalog"
	"garner/store/catalog/catalogtest"
)

func TestRecordsComeBack(t *testing.T) {
	db := catalogtest.New(t)
	raw := "A/\xff\xfe\n.CR3" // a name that is not UTF-8
	frame := sampleFrame(7)
	frame.Files[0].Path = raw
	frame.Previews[0].File = raw
	must(t, db.Update(func(tx *catalog.Tx) error {
		return errors.Join(
			tx.Frames().Put("0123456789abcdef", frame),
			tx.Paths().Put(raw, catalog.Path{Frame: "0123456789abcdef", Size: 25e6}),
			tx.Paths().Put(frame.Files[1].Path, catalog.Path{Frame: "0123456789abcdef"}),
			tx.Aliases().Put("old", "0123456789abcdef"),
			tx.State("keep").Put("0123456789abcdef", catalog.State{Answer: 1, Who: "anna"}),
			tx.Evidence("sharp").Put("0123456789abcdef", []byte{1, 2}),
			tx.Others().Put([]catalog.Other{{Path: raw, Why: "no picture"}}),
		)
	}))
	must(t, db.View(func(tx *catalog.Tx) error {
		got, ok, err := tx.Frames().Get("0123456789abcdef")
		if d := cmp.Diff(frame, got); err != nil || !ok || d != "" {
			t.Errorf("%v %v %s", ok, err, d)
		}
		must(t, tx.EachFrameName(func(id, name string) error {
			if id != "0123456789abcdef" || name != frame.Name {
				t.Errorf("%q %q", id, name)
			}
			return nil
		}))
		if keys := tx.Paths().Keys(); len(keys) != 2 || keys[1] != raw {
			t.Errorf("%q", keys)
		}
		if id, _, _ := tx.Aliases().Get("old"); id != "0123456789abcdef" {
			t.Errorf("alias: %q", id)
		}
		if others, err := tx.Others().Get(); err != nil || len(others) != 1 || others[0].Path != raw {
			t.Errorf("%v %v", others, err)
		}
		if p, m := tx.StatePasses(), tx.Methods(); len(p) != 1 || p[0] != "keep" || len(m) != 1 || m[0] != "sharp" {
			t.Errorf("%q %q", p, m)
		}
		if _, ok, err := tx.State("album").Get("x"); ok || err != nil || tx.State("album").Len() != 0 {
			t.Errorf("a pass without answers: %v %v", ok, err)
		}
		return nil
	}))
}

func TestFailedUpdateChangesNothing(t *testing.T) {
	db := catalogtest.New(t)
	no := errors.New("no")
	if err := db.Update(func(tx *catalog.Tx) error {
		must(t, tx.Wrote().Put("x.xmp", []byte("1")))
		return no
	}); err != no {
		t.Fatal(err)
	}
	func() {
		defer func() {
			if r := recover(); r == nil {
				t.Error("a bug in the function was taken for damage")
			}
		}()
		var none []int
		_ = db.Update(func(tx *catalog.Tx) error {
			must(t, tx.Wrote().Put("y.xmp", []byte("1")))
			return errors.New("unreached" + string(rune(none[3])))
		})
	}()
	must(t, db.View(func(tx *catalog.Tx) error {
		if n := tx.Wrote().Len(); n != 0 {
			t.Errorf("%d records are left of what failed", n)
		}
		return nil
	}))
}

func TestMissingAndEmpty(t *testing.T) {
	path := filepath.Join(t.TempDir(), "catalog.db")
	db := catalog.New(path, catalog.Options{})
	nothing := func(*catalog.Tx) error { return nil }
	for _, call := range []func() error{
		func() error { return db.View(nothing) }, func() error { return db.Update(nothing) }, db.Examine,
	} {
		if err := call(); !errors.Is(err, catalog.ErrMissing) {
			t.Errorf("no file: %v", err)
		}
	}
	must(t, os.WriteFile(path, nil, 0o666))
	if err := db.Update(nothing); !errors.Is(err, catalog.ErrMissing) {
		t.Errorf("an empty file: %v", err)
	}
	rep, err := db.Repair()
	if err != nil || !rep.Made || rep.Damage != nil {
		t.Errorf("%+v %v", rep, err)
	}
	must(t, db.Update(nothing))
	if rep, err := db.Repair(); err != nil || rep != (catalog.Repaired{}) {
		t.Errorf("a sound file was repaired: %+v %v", rep, err)
	}
}

func TestBusyNamesTheHolder(t *testing.T) {
	made := catalogtest.New(t)
	db := catalog.New(made.Path(), catalog.Options{Wait: 20 * time.Millisecond, Holder: func() string { return "garner cull (process 7)" }})
	must(t, made.Update(func(*catalog.Tx) error {
		err := db.View(func(*catalog.Tx) error { return nil })
		if !errors.Is(err, catalog.ErrBusy) || !strings.Contains(err.Error(), "garner cull (process 7)") {
			t.Errorf("%v", err)
		}
		return nil
	}))
	// Readers do not keep readers out.
	must(t, made.View(func(*catalog.Tx) error { return db.View(func(*catalog.Tx) error { return nil }) }))
}

func TestSeveralWritersAndReaders(t *testing.T) {
	db := catalogtest.New(t)
	const writers, rounds = 4, 25
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			mine := catalog.New(db.Path(), catalog.Options{})
			for range rounds {
				if err := mine.Update(func(tx *catalog.Tx) error {
					n, _, err := tx.Meta().Get("n")
					if err != nil {
						return err
					}
					return tx.Meta().Put("n", n+1)
				}); err != nil {
					t.Errorf("writer %d: %v", w, err)
					return
				}
			}
		})
		wg.Go(func() {
			last := int64(0)
			for range rounds {
				if err := db.View(func(tx *catalog.Tx) error {
					n, _, err := tx.Meta().Get("n")
					if n < last {
						t.Errorf("%d after %d", n, last)
					}
					last = n
					return err
				}); err != nil {
					t.Errorf("reader: %v", err)
					return
				}
			}
		})
	}
	wg.Wait()
	must(t, db.View(func(tx *catalog.Tx) error {
		if n, _, err := tx.Meta().Get("n"); n != writers*rounds || err != nil {
			t.Errorf("%d, %v", n, err)
		}
		return nil
	}))
}

// The function after the commit sees nobody else's transaction.
func TestUpdateThen(t *testing.T) {
	db := catalogtest.New(t)
	other := catalog.New(db.Path(), catalog.Options{Wait: time.Millisecond})
	no := errors.New("no")
	err := db.UpdateThen(func(tx *catalog.Tx) error { return tx.Meta().Put("n", 5) }, func() error {
		if err := other.View(func(*catalog.Tx) error { return nil }); !errors.Is(err, catalog.ErrBusy) {
			t.Errorf("somebody else got in: %v", err)
		}
		return no
	})
	if err != no {
		t.Error(err)
	}
	must(t, db.View(func(tx *catalog.Tx) error {
		if n, _, _ := tx.Meta().Get("n"); n != 5 {
			t.Error("the transaction did not stand")
		}
		return nil
	}))
}

// A read-only medium: no lock file can be made, and reading works all the same.
func TestReadOnlyFolder(t *testing.T) {
	db := catalogtest.New(t)
	dir := filepath.Dir(db.Path())
	must(t, os.Remove(db.Path()+".lock"))
	must(t, os.Chmod(dir, 0o555))
	defer os.Chmod(dir, 0o755)
	if f, err := os.Create(filepath.Join(dir, "probe")); err == nil {
		f.Close()
		os.Remove(f.Name())
		t.Skip("this user may write everywhere")
	}
	must(t, db.View(func(*catalog.Tx) error { return nil }))
	if err := db.Update(func(*catalog.Tx) error { return nil }); err == nil {
		t.Error("an update without a lock")
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
