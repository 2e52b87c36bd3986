package catalog

import (
	"fmt"
	"io"
	"os"
)

// Examine reads every page and every record of the catalogue and returns
// ErrMissing, or ErrDamaged with the first damage it meets. It uses its own
// reader of the page structure and can't be crashed by any file.
func (db *DB) Examine() error {
	return db.locked(false, func(*lockFile) error {
		f, err := openFile(db.path, false)
		if err != nil {
			return err
		}
		defer f.Close()
		return examine(f)
	})
}

func examine(f *os.File) error {
	info, err := f.Stat()
	if err != nil {
		return fmt.Errorf("reading the catalogue: %w", err)
	}
	if info.Size() == 0 {
		return ErrMissing
	}
	return examineReader(f, info.Size())
}

func examineReader(r io.ReaderAt, size int64) error {
	meta, err := readMeta(r, size)
	if err != nil {
		return err
	}
	w := &walker{r: r, meta: meta, record: func(path []string, key, value []byte) error {
		return sound(path, key, value)
	}}
	return w.walk()
}

// sound checks the seal of a record, wherever it is kept.
func sound(path []string, key, value []byte) error {
	if len(path) < 1 || len(path) > 2 {
		return damage("record "+showKey(key), "it is in no bucket of ours")
	}
	if _, _, err := unseal(place(path), key, value); err != nil {
		return damage("record "+place(path)+"/"+showKey(key), "%v", err)
	}
	return nil
}
