package catalog_test

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"garner/store/catalog"
	"garner/store/catalog/catalogtest"
)

// The kill loop runs the test binary again as a program that writes into the
// catalogue that GARNER_CATALOG_CHILD names.
func TestMain(m *testing.M) {
	if path := os.Getenv("GARNER_CATALOG_CHILD"); path != "" {
		os.Exit(childWrites(path))
	}
	os.Exit(m.Run())
}

// childWrites counts up in several tables at once, with values over many pages,
// and says each number when it is durable.
func childWrites(path string) int {
	db := catalog.New(path, catalog.Options{})
	for {
		var n int64
		err := db.Update(func(tx *catalog.Tx) (err error) {
			if n, _, err = tx.Meta().Get("n"); err != nil {
				return err
			}
			n++
			return count(tx, n)
		})
		if err != nil {
			fmt.Println(err)
			return 1
		}
		fmt.Println(n)
	}
}

func count(tx *catalog.Tx, n int64) error {
	key := strconv.FormatInt(n%17, 10)
	return errors.Join(
		tx.Meta().Put("n", n),
		tx.Evidence("m"+key).Put(key, bytes.Repeat([]byte{byte(n)}, int(n*997%20000))),
		tx.Wrote().Put(key, []byte(strconv.FormatInt(n, 10))),
	)
}

// counted checks that the tables are those of one number, and returns it.
func counted(t *testing.T, db *catalog.DB) (n int64) {
	t.Helper()
	must(t, db.View(func(tx *catalog.Tx) (err error) {
		n, _, err = tx.Meta().Get("n")
		for i := max(1, n-16); i <= n && err == nil; i++ {
			var text, blob []byte
			key := strconv.FormatInt(i%17, 10)
			if text, _, err = tx.Wrote().Get(key); err == nil && string(text) != strconv.FormatInt(i, 10) {
				t.Errorf("at %d: record %s is of %s", n, key, text)
			}
			if blob, _, err = tx.Evidence("m" + key).Get(key); err == nil && (len(blob) != int(i*997%20000) || len(blob) > 0 && blob[0] != byte(i)) {
				t.Errorf("at %d: the blob of %s is another's", n, key)
			}
		}
		return err
	}))
	return n
}

// Killed at any moment: what was said to be durable is there, whole, and nothing
// half is. A kill keeps the system's cache, so this shows the logic; what a power
// failure leaves is the next test's.
func TestKilled(t *testing.T) {
	rounds := 12
	if n, err := strconv.Atoi(os.Getenv("GARNER_KILL_ROUNDS")); err == nil {
		rounds = n
	}
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	exe, err := os.Executable()
	must(t, err)
	db := catalogtest.New(t)
	last := int64(0)
	for range rounds {
		cmd := exec.Command(exe)
		cmd.Env = append(os.Environ(), "GARNER_CATALOG_CHILD="+db.Path())
		out, err := cmd.StdoutPipe()
		must(t, err)
		must(t, cmd.Start())
		lines := bufio.NewScanner(out)
		for k := 1 + r.IntN(20); k > 0 && lines.Scan(); k-- {
			if last, err = strconv.ParseInt(lines.Text(), 10, 64); err != nil {
				t.Fatalf("the child says %s", lines.Text())
			}
		}
		must(t, cmd.Process.Kill())
		for lines.Scan() {
			if n, err := strconv.ParseInt(lines.Text(), 10, 64); err == nil {
				last = n
			}
		}
		cmd.Wait()
		if n := counted(t, db); n != last && n != last+1 {
			t.Fatalf("%d is there, %d was said", n, last)
		}
		catalogtest.Check(t, db.Path())
	}
}

// A power failure in the middle of a commit. bbolt writes the changed pages,
// syncs, writes one meta page, syncs. So before the first sync any of the pages
// may be on the disk and none of the meta page: that must be the state before.
func TestPowerFailure(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	dir := t.TempDir()
	db := catalog.New(filepath.Join(dir, "catalog.db"), catalog.Options{})
	_, err := db.Repair()
	must(t, err)
	const page = 4096
	torn := 0
	for n := int64(1); n <= 25; n++ {
		before, err := os.ReadFile(db.Path())
		must(t, err)
		must(t, db.Update(func(tx *catalog.Tx) error { return count(tx, n) }))
		after, err := os.ReadFile(db.Path())
		must(t, err)
		if len(after) < len(before) {
			t.Fatal("the file shrank")
		}
		for range 4 {
			mixed := bytes.Clone(after)
			for at := 0; at < len(before); at += page {
				meta := at < 2*page
				if meta || r.IntN(2) == 0 {
					copy(mixed[at:at+page], before[at:at+page])
				}
			}
			if r.IntN(2) == 0 { // the new length did not get to the disk
				mixed = mixed[:len(before)]
			}
			if !bytes.Equal(mixed, before) {
				torn++
			}
			path := filepath.Join(dir, "torn.db")
			must(t, os.WriteFile(path, mixed, 0o666))
			if got := counted(t, catalog.New(path, catalog.Options{})); got != n-1 {
				t.Fatalf("%d is there, %d was before the commit", got, n-1)
			}
		}
	}
	if torn == 0 {
		t.Fatal("no file was torn")
	}
}
