package catalog

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"time"

	bolt "go.etcd.io/bbolt"

	"garner/store/vfs"
)

// Repaired says what Repair did.
type Repaired struct {
	Made     bool   // there was no catalogue, or an empty file
	Damage   error  // what was wrong with the old one; nil = nothing
	SetAside string // name of the damaged file, in the same folder
	Saved    int    // records that could still be read
}

// Repair makes the catalogue usable: it makes a new one where there is none, and
// in place of a damaged one, which is kept as FILE.damaged-N. Records of the
// damaged file that can still be read and whose checksums hold are taken over.
// The new file gets its name only when it is whole and synced. Repair examines
// every page and record, 1 ms for a thousand frames: once per program.
func (db *DB) Repair() (Repaired, error) {
	var rep Repaired
	err := db.locked(true, func(l *lockFile) error {
		err := db.examineAnew(l)
		if err == nil {
			return nil
		}
		switch {
		case errors.Is(err, ErrMissing):
			rep.Made = true
		case errors.Is(err, ErrDamaged):
			rep.Damage = err
		default:
			return err
		}
		if rep.Saved, err = db.renew(); err != nil {
			return err
		}
		if rep.Damage != nil {
			if rep.SetAside, err = setAside(db.path); err != nil {
				return err
			}
		}
		return replace(db.path+".new", db.path)
	})
	return rep, err
}

// examineAnew examines the file whatever its clean mark says: a copy that went
// wrong may have kept size and time.
func (db *DB) examineAnew(l *lockFile) error {
	f, err := openFile(db.path, false)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := examine(f); err != nil {
		return err
	}
	m, err := markOf(f)
	if err == nil {
		l.set(m)
	}
	return err
}

// renew writes FILE.new with the records that FILE still has.
func (db *DB) renew() (saved int, err error) {
	fresh := db.path + ".new"
	// One from an earlier try may be half.
	if err := os.Remove(fresh); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return 0, fmt.Errorf("making the catalogue: %w", err)
	}
	out, err := bolt.Open(fresh, 0o666, &bolt.Options{Timeout: time.Second, PageSize: pageSize, NoStatistics: true})
	if err != nil {
		return 0, fmt.Errorf("making the catalogue: %w", err)
	}
	defer func() {
		if cerr := out.Close(); err == nil && cerr != nil {
			err = fmt.Errorf("making the catalogue: %w", cerr)
		}
	}()
	err = out.Update(func(btx *bolt.Tx) error {
		tx := &Tx{bolt: btx}
		if err := salvage(db.path, func(path []string, key, value []byte) error {
			b, err := tx.makeBucket(path)
			if err != nil {
				return err
			}
			saved++
			// bbolt keeps the value until it commits; the walk reuses its memory.
			return b.Put(key, bytes.Clone(value))
		}); err != nil {
			return err
		}
		return tx.checkSchema(true)
	})
	return saved, err
}

// salvage hands over every record of a file whose checksum holds, in as far as
// the pages that lead to it can be read. What it knows is checked by the
// checksums, not by the tree, so a lost page loses only its own records.
func salvage(path string, record func(path []string, key, value []byte) error) error {
	f, err := os.Open(path)
	if err != nil {
		return nil // a missing file has no records
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || info.Size() == 0 {
		return nil
	}
	meta, _ := readMeta(f, info.Size())
	if meta.pageSize == 0 {
		return nil
	}
	// What is left of a file that was cut off is read as far as it goes.
	meta.pages = min(meta.pages, uint64(info.Size()/meta.pageSize))
	w := &walker{r: f, meta: meta, lenient: func(error) {}}
	w.record = func(path []string, key, value []byte) error {
		if sound(path, key, value) != nil || len(key) == 0 || len(key) > bolt.MaxKeySize || !known(path[0]) {
			return nil
		}
		return record(path, key, value)
	}
	return w.walk()
}

func known(bucket string) bool {
	for _, name := range buckets() {
		if name == bucket {
			return true
		}
	}
	return false
}

// setAside renames a file to the first free FILE.damaged-N.
func setAside(path string) (name string, err error) {
	for n := 1; n < 10000; n++ {
		aside := path + ".damaged-" + strconv.Itoa(n)
		err := vfs.OS{}.RenameNew(path, aside)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return "", fmt.Errorf("setting the damaged catalogue aside: %w", err)
		}
		return filepath.Base(aside), nil
	}
	return "", errors.New("setting the damaged catalogue aside: too many were set aside before")
}

func replace(fresh, path string) error {
	err := vfs.OS{}.Rename(fresh, path)
	if err == nil {
		err = vfs.OS{}.SyncDir(filepath.Dir(path))
	}
	if err != nil {
		return fmt.Errorf("making the catalogue: %w", err)
	}
	return nil
}
