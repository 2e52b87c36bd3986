package catalog

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestLockKeepsOut(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.lock")
	for _, c := range []struct{ first, second, fits bool }{ // exclusive?
		{true, true, false}, {true, false, false}, {false, true, false}, {false, false, true},
	} {
		l, err := openLock(path, c.first, time.Second)
		if err != nil {
			t.Fatal(err)
		}
		second, err := openLock(path, c.second, 3*time.Millisecond)
		if c.fits != (err == nil) || (err != nil && !errors.Is(err, ErrBusy)) {
			t.Errorf("%+v: %v", c, err)
		}
		if err == nil {
			second.close()
		}
		l.close()
		if l, err = openLock(path, true, 0); err != nil {
			t.Fatalf("%+v: not let go: %v", c, err)
		}
		l.close()
	}
}

// Whoever waits gets the lock when it is let go.
func TestLockIsWaitedFor(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.lock")
	l, err := openLock(path, true, 0)
	if err != nil {
		t.Fatal(err)
	}
	got := make(chan error)
	go func() {
		second, err := openLock(path, true, time.Minute)
		if err == nil {
			second.close()
		}
		got <- err
	}()
	l.close()
	if err := <-got; err != nil {
		t.Error(err)
	}
}

func TestMark(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.lock")
	l, err := openLock(path, true, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer l.close()
	m := mark{txid: 7, size: 65536, mtime: 1_781_000_000_123_456_789}
	if l.fits(m) {
		t.Error("an empty file is a mark")
	}
	l.set(mark{txid: 1<<63 - 1, size: 1<<63 - 1, mtime: -1 << 63})
	if b, _ := os.ReadFile(path); len(b) != markSize {
		t.Errorf("%d bytes", len(b))
	}
	l.set(m)
	if !l.fits(m) {
		t.Error("a mark does not fit itself")
	}
	for _, other := range []mark{{8, m.size, m.mtime}, {7, m.size + 1, m.mtime}, {7, m.size, m.mtime + 1}, {}} {
		if l.fits(other) {
			t.Errorf("%+v fits %+v", other, m)
		}
	}
	if err := os.WriteFile(path, m.bytes()[:markSize-5], 0o666); err != nil {
		t.Fatal(err)
	}
	if l.fits(m) {
		t.Error("a torn mark fits")
	}
	if b, _ := os.ReadFile(path); !strings.HasPrefix(string(b), "clean 1 7 65536 ") {
		t.Errorf("%q", b)
	}
}

// The mark is what saves the examination: with it a transaction reads only
// what it needs, without it, everything.
func TestMarkFollowsEveryCommit(t *testing.T) {
	db := New(filepath.Join(t.TempDir(), "catalog.db"), Options{})
	if _, err := db.Repair(); err != nil {
		t.Fatal(err)
	}
	clean := func() bool {
		l, err := openLock(db.path+".lock", false, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer l.close()
		f, err := os.Open(db.path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		m, err := markOf(f)
		return err == nil && l.fits(m)
	}
	for i := range 5 {
		if err := db.Update(func(tx *Tx) error { return tx.Meta().Put("n", int64(i)) }); err != nil {
			t.Fatal(err)
		}
		if !clean() {
			t.Fatalf("not clean after commit %d", i)
		}
	}
	if err := os.Chtimes(db.path, time.Time{}, time.Unix(1, 0)); err != nil {
		t.Fatal(err)
	}
	if clean() {
		t.Error("a changed file is clean")
	}
	if err := db.View(func(*Tx) error { return nil }); err != nil || !clean() {
		t.Errorf("%v, clean %v after an examination", err, clean())
	}
}

func TestPanics(t *testing.T) {
	if err := fromPanic("assertion failed: x"); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "assertion failed: x") {
		t.Errorf("%v", err)
	}
	defer func() {
		if r := recover(); r != any(errShort) {
			t.Errorf("a bug became %v", r)
		}
	}()
	_ = fromPanic(errShort)
}

func TestShowKey(t *testing.T) {
	for key, want := range map[string]string{
		"A/IMG_0001.CR3": "A/IMG_0001.CR3", "Gärten": "Gärten", "a\nb": `"a\nb"`, "\xff": `"\xff"`,
		"a\u202eb": `"a\u202eb"`, "\x1b[31m": `"\x1b[31m"`, SeqKey(17): "17", "12345678": "12345678",
	} {
		if got := showKey([]byte(key)); got != want {
			t.Errorf("%q: %s, want %s", key, got, want)
		}
	}
}
