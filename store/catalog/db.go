package catalog

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime/debug"
	"time"

	bolt "go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

// Options says how a catalogue is used. The zero value is good.
type Options struct {
	// Wait is how long to wait for other programs; 0 = ten seconds.
	Wait time.Duration
	// Holder names the program that probably has the catalogue, for the
	// message when the wait was in vain; nil or "" = not known.
	Holder func() string
}

// DB is a catalogue at a path. It holds nothing open and may be used by several
// goroutines.
type DB struct {
	path string
	o    Options
}

// New names a catalogue; it touches nothing.
func New(path string, o Options) *DB {
	if o.Wait == 0 {
		o.Wait = 10 * time.Second
	}
	return &DB{path: path, o: o}
}

// Path returns where the catalogue is.
func (db *DB) Path() string { return db.path }

// View runs fn on the catalogue as it stands.
func (db *DB) View(fn func(*Tx) error) error {
	return db.locked(false, func(l *lockFile) error { return db.run(l, false, fn) })
}

// Update runs fn and makes what it wrote durable, or changes nothing if fn
// returns an error.
func (db *DB) Update(fn func(*Tx) error) error { return db.UpdateThen(fn, nil) }

// UpdateThen is Update, and then runs after while no other program can get at
// the catalogue. When after returns an error the transaction stands all the
// same, and the error is returned.
func (db *DB) UpdateThen(fn func(*Tx) error, after func() error) error {
	return db.locked(true, func(l *lockFile) error {
		if err := db.run(l, true, fn); err != nil || after == nil {
			return err
		}
		return after()
	})
}

// Exclusively runs fn while no other program can get at the catalogue; for
// files beside it. fn may not use the catalogue.
func (db *DB) Exclusively(fn func() error) error {
	return db.locked(true, func(*lockFile) error { return fn() })
}

func (db *DB) locked(exclusive bool, fn func(*lockFile) error) error {
	l, err := openLock(db.path+".lock", exclusive, db.o.Wait)
	if errors.Is(err, ErrBusy) && db.o.Holder != nil {
		if who := db.o.Holder(); who != "" {
			return fmt.Errorf("%w by %s", ErrBusy, who)
		}
	}
	if err != nil {
		return err
	}
	defer l.close()
	return fn(l)
}

// run does one transaction under the lock.
func (db *DB) run(l *lockFile, write bool, fn func(*Tx) error) error {
	f, err := openFile(db.path, write)
	if err != nil {
		return err
	}
	m, err := markOf(f)
	if err == nil && !l.fits(m) {
		if err = examine(f); err == nil {
			l.set(m)
		}
	}
	if err != nil {
		f.Close()
		return err
	}
	if err := transact(f, write, fn); err != nil || !write {
		return err
	}
	// Read through a file of our own: bbolt has closed the one it was given.
	if f, err := os.Open(db.path); err == nil {
		if m, err := markOf(f); err == nil {
			l.set(m)
		}
		f.Close()
	}
	return nil
}

func openFile(path string, write bool) (*os.File, error) {
	how := os.O_RDONLY
	if write {
		how = os.O_RDWR
	}
	f, err := os.OpenFile(path, how, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrMissing
	}
	return f, err
}

// transact runs fn in one bbolt transaction on an open file, and closes the
// file. The pages were examined, but a disk that fails under the map shows as
// a fault, and bbolt answers what it did not expect with a panic: both become
// ErrDamaged. A bug in fn stays a panic.
func transact(f *os.File, write bool, fn func(*Tx) error) (err error) {
	// Closing twice is harmless; after a fault in bbolt.Open nobody else does.
	defer f.Close()
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if r := recover(); r != nil {
			err = fromPanic(r)
		}
	}()
	db, err := bolt.Open(f.Name(), 0, &bolt.Options{
		ReadOnly:     !write,
		Timeout:      time.Second,
		PageSize:     pageSize,
		NoStatistics: true,
		OpenFile:     func(string, int, os.FileMode) (*os.File, error) { return f, nil },
	})
	if errors.Is(err, berrors.ErrTimeout) { // a tool that knows bbolt but not our lock
		return ErrBusy
	}
	if err != nil {
		return fmt.Errorf("opening the catalogue: %w", err)
	}
	defer func() {
		if cerr := db.Close(); err == nil && cerr != nil {
			err = fmt.Errorf("closing the catalogue: %w", cerr)
		}
	}()
	run := db.View
	if write {
		run = db.Update
	}
	return run(func(btx *bolt.Tx) error {
		tx := &Tx{bolt: btx}
		if err := tx.checkSchema(write); err != nil {
			return err
		}
		return fn(tx)
	})
}

// pageSize is the same on every machine, so that a catalogue made on one can be
// written on another.
const pageSize = 4096

// fromPanic tells the panics of bbolt from those of a bug.
func fromPanic(r any) error {
	if fault, ok := r.(interface {
		error
		Addr() uintptr
	}); ok {
		return damage("file", "reading it failed: %v", fault)
	}
	if text, ok := r.(string); ok {
		return damage("file", "%s", text)
	}
	panic(r)
}
