package term

import (
	"errors"
	"os"
	"slices"
	"sync"
)

// maxHanded bounds the batches of files, those of one call of Paint, Mosaic or
// Ahead, that the terminal has been told of and has not been seen to take. A
// terminal that answers takes one after the other; from one that has stopped,
// the oldest are taken back.
const maxHanded = 4

var errClosed = errors.New("the painter is closed")

// files owns what lies in shared memory and in temporary files, so that nothing
// stays there. Every method may be called from any goroutine.
type files struct {
	shmDir, tmpDir string

	mu     sync.Mutex
	own    []string   // the terminal does not know of them yet
	handed [][]string // it does, the oldest batch first; it deletes what it takes
	begun  bool       // the last batch may grow
	waste  []string   // to be removed; that takes a millisecond, and nobody waits for it
	closed bool
}

// write makes a file for the terminal.
func (f *files) write(m medium, data []byte) (path string, err error) {
	f.mu.Lock()
	shm, tmp, closed := f.shmDir, f.tmpDir, f.closed
	f.mu.Unlock()
	if closed {
		return "", errClosed
	}
	if m == sharedMemory {
		path, err = writeShared(shm, data)
	} else {
		path, err = writeTemp(tmp, data)
	}
	if err != nil {
		return "", err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.closed {
		_ = os.Remove(path)
		return "", errClosed
	}
	f.own = append(f.own, path)
	return path, nil
}

// batch ends a batch of files.
func (f *files) batch() {
	f.mu.Lock()
	f.begun = false
	f.mu.Unlock()
}

// hand notes that the terminal is told of a file.
func (f *files) hand(path string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	i := slices.Index(f.own, path)
	if i < 0 {
		return
	}
	f.own = slices.Delete(f.own, i, i+1)
	if !f.begun {
		f.begun = true
		f.tidy()
		f.handed = append(f.handed, nil)
	}
	last := len(f.handed) - 1
	f.handed[last] = append(f.handed[last], path)
}

// tidy makes room for a batch.
func (f *files) tidy() {
	if len(f.handed) < maxHanded {
		return
	}
	for i := range f.handed {
		f.handed[i] = slices.DeleteFunc(f.handed[i], func(path string) bool {
			_, err := os.Lstat(path)
			return err != nil // it was taken
		})
	}
	f.handed = slices.DeleteFunc(f.handed, func(b []string) bool { return len(b) == 0 })
	for len(f.handed) >= maxHanded {
		for _, path := range f.handed[0] {
			_ = os.Remove(path)
		}
		f.handed = f.handed[1:]
	}
}

// drop gives up a file that the terminal was never told of.
func (f *files) drop(path string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if i := slices.Index(f.own, path); i >= 0 {
		f.own = slices.Delete(f.own, i, i+1)
		f.waste = append(f.waste, path)
	}
}

// sweep removes what was given up.
func (f *files) sweep() {
	f.mu.Lock()
	waste := f.waste
	f.waste = nil
	f.mu.Unlock()
	for _, path := range waste {
		_ = os.Remove(path)
	}
}

// close removes all files, and lets no more be made.
func (f *files) close() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.closed = true
	for _, path := range slices.Concat(append(f.handed, f.own, f.waste)...) {
		_ = os.Remove(path)
	}
	f.own, f.handed, f.waste = nil, nil, nil
}
