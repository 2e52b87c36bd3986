package erasable

import (
	"errors"
	"os"
	"time"

	"garner/store"
	"garner/store/catalog"
)

// ErrBusy is returned by Lock when somebody else has had the file for too long.
var ErrBusy = errors.New("is in use by another program")

// patience is how long to wait for others, who hold the lock for one replacement.
const patience = 10 * time.Second

// Lock takes the file on the machine's file system for one reading or one
// replacement. The lock ends with the program. It makes NAME.lock.
func (f File) Lock() (unlock func(), err error) {
	name := f.Path + ".lock"
	l, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, store.Wrap("lock", name, err)
	}
	pause := 200 * time.Microsecond
	for deadline := time.Now().Add(patience); ; {
		err := catalog.TryLock(l, true)
		if err == nil {
			return func() { l.Close() }, nil
		}
		if errors.Is(err, catalog.ErrLocked) {
			err = ErrBusy
		}
		if !errors.Is(err, ErrBusy) || time.Now().After(deadline) {
			l.Close()
			return nil, store.Wrap("lock", f.Path, err)
		}
		time.Sleep(pause)
		pause = min(pause*3/2, 10*time.Millisecond)
	}
}
