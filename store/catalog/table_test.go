package catalog_test

import (
	"errors"
	"slices"
	"testing"

	"garner/store/catalog"
	"garner/store/catalog/catalogtest"
)

func TestTable(t *testing.T) {
	db := catalogtest.New(t)
	keys := []string{"", "a", "a/b", "\x00", "\xff", "b"}
	must(t, db.Update(func(tx *catalog.Tx) error {
		w := tx.Wrote()
		if w.Len() != 0 || w.Last() != "" || len(w.Keys()) != 0 {
			t.Error("a new table has something")
		}
		if err := w.Put("", nil); err == nil {
			t.Error("a record without a key")
		}
		for _, k := range keys[1:] {
			must(t, w.Put(k, []byte("of "+k)))
		}
		must(t, w.Put("a", []byte("again")))
		must(t, w.Delete("b"))
		must(t, w.Delete("nobody"))
		return nil
	}))
	must(t, db.View(func(tx *catalog.Tx) error {
		w := tx.Wrote()
		want := []string{"\x00", "a", "a/b", "\xff"}
		if !slices.Equal(w.Keys(), want) || w.Len() != 4 || w.Last() != "\xff" {
			t.Errorf("%q", w.Keys())
		}
		var seen []string
		must(t, w.Each(func(k string, v []byte) error {
			if k == "a" && string(v) != "again" || k == "a/b" && string(v) != "of a/b" {
				t.Errorf("%q: %q", k, v)
			}
			seen = append(seen, k)
			return nil
		}))
		if !slices.Equal(seen, want) {
			t.Errorf("%q", seen)
		}
		stop := errors.New("stop")
		n := 0
		if err := w.Each(func(string, []byte) error { n++; return stop }); err != stop || n != 1 {
			t.Errorf("%v after %d", err, n)
		}
		if err := w.Put("x", nil); err == nil {
			t.Error("a View wrote")
		}
		if err := tx.State("new").Put("x", catalog.State{}); err == nil {
			t.Error("a View made a bucket")
		}
		return nil
	}))
}

// What a table gave stays what it was when the transaction is over and the page
// has been written again.
func TestCopiesOutliveTheTransaction(t *testing.T) {
	db := catalogtest.New(t)
	put := func(v string) {
		must(t, db.Update(func(tx *catalog.Tx) error { return tx.Wrote().Put("k", []byte(v)) }))
	}
	put("first")
	var kept []byte
	var keys []string
	must(t, db.View(func(tx *catalog.Tx) error {
		kept, _, _ = tx.Wrote().Get("k")
		keys = tx.Wrote().Keys()
		return nil
	}))
	for range 5 {
		put("other")
	}
	if string(kept) != "first" || keys[0] != "k" {
		t.Errorf("%q %q", kept, keys)
	}
}

func TestStateOfPasses(t *testing.T) {
	db := catalogtest.New(t)
	must(t, db.Update(func(tx *catalog.Tx) error {
		for _, pass := range []string{"keep", "album"} {
			must(t, tx.State(pass).Put("x", catalog.State{Answer: 1}))
		}
		return tx.Journal().Put(catalog.SeqKey(1), catalog.Entry{Line: "x"})
	}))
	must(t, db.Update(func(tx *catalog.Tx) error {
		if p := tx.StatePasses(); !slices.Equal(p, []string{"album", "keep"}) {
			t.Errorf("%q", p)
		}
		return tx.ClearState()
	}))
	must(t, db.View(func(tx *catalog.Tx) error {
		if len(tx.StatePasses()) != 0 || tx.Journal().Len() != 1 {
			t.Errorf("%q, %d entries", tx.StatePasses(), tx.Journal().Len())
		}
		return nil
	}))
}

func TestSeqKey(t *testing.T) {
	var keys []string
	for _, n := range []uint64{1, 2, 255, 256, 1 << 32, 1<<64 - 1} {
		if got := catalog.KeySeq(catalog.SeqKey(n)); got != n {
			t.Errorf("%d became %d", n, got)
		}
		keys = append(keys, catalog.SeqKey(n))
	}
	if !slices.IsSorted(keys) {
		t.Error("the keys are not in the order of the numbers")
	}
	if catalog.KeySeq("short") != 0 || catalog.KeySeq("") != 0 {
		t.Error("any string is a number")
	}
}
