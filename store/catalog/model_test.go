package catalog_test

import (
	"errors"
	"maps"
	"math/rand/v2"
	"strconv"
	"testing"

	"garner/store/catalog"
	"garner/store/catalog/catalogtest"
)

// Random transactions, some of which fail, against a map: what a View sees is
// what the map says, whatever came before.
func TestAgainstAMap(t *testing.T) {
	db := catalogtest.New(t)
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	model := map[string]string{} // table and key → value
	no := errors.New("no")
	for range 120 {
		next := maps.Clone(model)
		fail := r.IntN(5) == 0
		err := db.Update(func(tx *catalog.Tx) error {
			for range 1 + r.IntN(12) {
				table, key := strconv.Itoa(r.IntN(3)), strconv.Itoa(r.IntN(40))
				t0 := tx.Evidence("method " + table)
				if r.IntN(4) == 0 {
					delete(next, table+"/"+key)
					if err := t0.Delete(key); err != nil {
						return err
					}
					continue
				}
				value := make([]byte, r.IntN(5000)) // beyond a page, too
				for i := range value {
					value[i] = byte(r.Uint32())
				}
				next[table+"/"+key] = string(value)
				if err := t0.Put(key, value); err != nil {
					return err
				}
			}
			if fail {
				return no
			}
			return nil
		})
		if fail != (err != nil) {
			t.Fatal(err)
		}
		if !fail {
			model = next
		}
		seen := map[string]string{}
		must(t, db.View(func(tx *catalog.Tx) error {
			for table := range 3 {
				name := strconv.Itoa(table)
				err := tx.Evidence("method " + name).Each(func(key string, value []byte) error {
					seen[name+"/"+key] = string(value)
					return nil
				})
				if err != nil {
					return err
				}
			}
			return nil
		}))
		if !maps.Equal(model, seen) {
			t.Fatalf("%d records in the model, %d seen", len(model), len(seen))
		}
	}
	if len(model) == 0 {
		t.Fatal("nothing was written")
	}
}

// Check finds what it is there for.
func TestCheckFinds(t *testing.T) {
	fileOf := func(path string) catalog.Frame { return catalog.Frame{Files: []catalog.File{{Path: path}}} }
	for _, c := range []struct {
		name, code string
		spoil      func(*catalog.Tx) error
	}{
		{"a path of a frame that has no such file", "reference", func(tx *catalog.Tx) error {
			return tx.Paths().Put("x.CR3", catalog.Path{Frame: sampleID(1)})
		}},
		{"a file that is not listed", "reference", func(tx *catalog.Tx) error {
			return tx.Frames().Put("f", fileOf("y.CR3"))
		}},
		{"a file of two frames", "reference", func(tx *catalog.Tx) error {
			return errors.Join(tx.Frames().Put("f", fileOf("A/IMG_0001.CR3")))
		}},
		{"an unknown frame in the order", "reference", func(tx *catalog.Tx) error {
			return tx.Layout().Put(catalog.Layout{Places: []catalog.Place{{Frame: "nobody"}}})
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			db := catalog.New(t.TempDir()+"/catalog.db", catalog.Options{})
			_, err := db.Repair()
			must(t, err)
			fill(t, db, 3)
			if found, err := catalog.Check(db.Path()); err != nil || len(found) != 0 {
				t.Fatalf("before: %v %v", found, err)
			}
			must(t, db.Update(c.spoil))
			found, err := catalog.Check(db.Path())
			if err != nil || len(found) == 0 || found[0].Code != c.code {
				t.Errorf("%v %v", found, err)
			}
		})
	}
	if _, err := catalog.Check(t.TempDir() + "/none.db"); !errors.Is(err, catalog.ErrMissing) {
		t.Errorf("no file: %v", err)
	}
}
