package catalog

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	bolt "go.etcd.io/bbolt"
)

// Check examines a catalogue more closely than any opening does: page structure,
// checksum and form of every record, references between records, and at last
// bbolt's own check. It changes nothing. The error says that there was nothing
// to check.
func Check(path string) ([]Problem, error) {
	db := New(path, Options{})
	var found []Problem
	err := db.locked(false, func(*lockFile) error {
		f, err := openFile(path, false)
		if err != nil {
			return err
		}
		if err = examine(f); err != nil {
			f.Close()
			return err
		}
		err = transact(f, false, func(tx *Tx) error {
			found = append(tx.checkRecords(), tx.checkReferences()...)
			return nil
		})
		if err == nil {
			found = append(found, boltCheck(path)...)
		}
		return err
	})
	if errors.Is(err, ErrDamaged) {
		return append(found, Problem{Code: "damaged", Text: err.Error()}), nil
	}
	return found, err
}

// boltCheck runs bbolt's own check; only after examine, because it runs in a
// goroutine of its own, where nothing could catch a fault.
func boltCheck(path string) (found []Problem) {
	problem := func(err error) {
		found = append(found, Problem{Code: "pages", Text: err.Error()})
	}
	db, err := bolt.Open(path, 0, &bolt.Options{ReadOnly: true, Timeout: time.Second, OpenFile: openExisting})
	if err != nil {
		problem(err)
		return found
	}
	defer db.Close()
	err = db.View(func(tx *bolt.Tx) error {
		for err := range tx.Check() {
			problem(err)
		}
		return nil
	})
	if err != nil {
		problem(err)
	}
	return found
}

func openExisting(path string, _ int, _ fs.FileMode) (*os.File, error) { return os.Open(path) }

// checkRecords decodes every record of every table.
func (tx *Tx) checkRecords() []Problem {
	var found []Problem
	found = append(found, readAll(tx.Meta())...)
	found = append(found, readAll(tx.Bodies())...)
	found = append(found, readAll(tx.Frames())...)
	found = append(found, readAll(tx.Aliases())...)
	found = append(found, readAll(tx.Paths())...)
	found = append(found, readAll(tx.Passes())...)
	for _, pass := range tx.StatePasses() {
		found = append(found, readAll(tx.State(pass))...)
	}
	found = append(found, readAll(tx.Journal())...)
	found = append(found, readAll(tx.Corrections())...)
	for _, method := range tx.Methods() {
		found = append(found, readAll(tx.Evidence(method))...)
	}
	found = append(found, readAll(tx.Cards())...)
	for _, t := range []Table[[]byte]{tx.Wrote(), tx.Outputs()} {
		found = append(found, readAll(t)...)
	}
	if _, err := tx.Layout().Get(); err != nil {
		found = append(found, Problem{"record", err.Error()})
	}
	if _, err := tx.Others().Get(); err != nil {
		found = append(found, Problem{"record", err.Error()})
	}
	return found
}

// readAll decodes a table and goes on behind a record that can't be.
func readAll[R any](t Table[R]) (found []Problem) {
	if t.bucket == nil {
		return nil
	}
	c := t.bucket.Cursor()
	for k, v := c.First(); k != nil; k, v = c.Next() {
		if v == nil {
			continue
		}
		if _, err := t.kind.open(place(t.path), k, v); err != nil {
			found = append(found, Problem{"record", err.Error()})
		}
	}
	return found
}

// checkReferences looks for records that name what isn't there. A state may
// name an unknown frame, and so may an alias: after a rebuild the decisions are
// back before the files have been found again.
func (tx *Tx) checkReferences() (found []Problem) {
	report := func(format string, args ...any) {
		found = append(found, Problem{"reference", fmt.Sprintf(format, args...)})
	}
	frames := map[string]bool{}
	owner := map[string]string{}
	_ = tx.Frames().Each(func(id string, f Frame) error {
		frames[id] = true
		for _, file := range f.Files {
			if first, twice := owner[file.Path]; twice {
				report("file %s belongs to the frames %s and %s", showKey([]byte(file.Path)), first, id)
			}
			owner[file.Path] = id
		}
		return nil
	})
	_ = tx.Paths().Each(func(path string, p Path) error {
		if owner[path] != p.Frame {
			report("path %s is listed for frame %s, which has no such file", showKey([]byte(path)), showKey([]byte(p.Frame)))
		}
		delete(owner, path)
		return nil
	})
	for path, id := range owner {
		report("file %s of frame %s is not listed among the paths", showKey([]byte(path)), id)
	}
	if layout, err := tx.Layout().Get(); err == nil {
		aliases := tx.Aliases()
		for _, p := range layout.Places {
			// An alias is all right: the order is from before more was learned.
			if _, known, _ := aliases.Get(p.Frame); !known && !frames[p.Frame] {
				report("the order names the frame %s, which is not there", showKey([]byte(p.Frame)))
			}
		}
	}
	return found
}
