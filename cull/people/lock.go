package people

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"garner/store/catalog"
)

// ErrBusy is returned when another program has had people.db for too long.
var ErrBusy = errors.New("another garner is using people.db")

// patience is how long to wait for other programs, which hold the lock for one
// replacement at a time.
const patience = 10 * time.Second

// lock takes the file for one reading or replacement. It ends with the program.
func lock(dir string) (unlock func(), err error) {
	f, err := os.OpenFile(filepath.Join(dir, lockName), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("people.lock: %w", err)
	}
	pause := 200 * time.Microsecond
	for deadline := time.Now().Add(patience); ; {
		err := catalog.TryLock(f, true)
		if err == nil {
			return func() { f.Close() }, nil
		}
		if !errors.Is(err, catalog.ErrLocked) {
			f.Close()
			return nil, fmt.Errorf("people.lock: %w", err)
		}
		if time.Now().After(deadline) {
			f.Close()
			return nil, ErrBusy
		}
		time.Sleep(pause)
		pause = min(pause*3/2, 10*time.Millisecond)
	}
}
