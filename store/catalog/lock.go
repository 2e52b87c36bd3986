package catalog

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"
)

// lockFile is FILE.lock: the lock of the catalogue and its clean mark.
type lockFile struct {
	f        *os.File // nil: there is none and none can be made
	readOnly bool     // the mark can't be written
}

// ErrLocked is returned by TryLock when somebody else has the lock.
var ErrLocked = errors.New("the file is locked")

// openLock opens the lock file and waits for the lock. On a medium where none
// can be made nobody writes either, and there is nothing to wait for.
func openLock(path string, exclusive bool, wait time.Duration) (*lockFile, error) {
	l := &lockFile{}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil && !exclusive {
		l.readOnly = true
		f, err = os.Open(path)
		if errors.Is(err, fs.ErrNotExist) {
			return l, nil
		}
	}
	if err != nil {
		return nil, fmt.Errorf("catalogue lock: %w", err)
	}
	// Transactions are short, so look again soon at first, then less often.
	pause := 200 * time.Microsecond
	for deadline := time.Now().Add(wait); ; {
		err := TryLock(f, exclusive)
		if err == nil {
			l.f = f
			return l, nil
		}
		if !errors.Is(err, ErrLocked) {
			f.Close()
			return nil, fmt.Errorf("catalogue lock: %w", err)
		}
		if time.Now().After(deadline) {
			f.Close()
			return nil, ErrBusy
		}
		time.Sleep(pause)
		pause = min(pause*3/2, 10*time.Millisecond)
	}
}

// close lets go of the lock: it ends with the open file.
func (l *lockFile) close() {
	if l.f != nil {
		l.f.Close()
	}
}

// mark is what identifies a state of the catalogue file.
type mark struct {
	txid, size, mtime int64
}

// markSize is the fixed length of the mark, so that writing it over the old one
// leaves nothing of that.
const markSize = 80

func (m mark) bytes() []byte {
	return fmt.Appendf(nil, "%-*s\n", markSize-1, fmt.Sprintf("clean 1 %d %d %d", m.txid, m.size, m.mtime))
}

// fits reports whether the mark in the lock file is m.
func (l *lockFile) fits(m mark) bool {
	if l.f == nil {
		return false
	}
	var b [markSize]byte
	if n, err := l.f.ReadAt(b[:], 0); n != markSize || (err != nil && err != io.EOF) {
		return false
	}
	return string(b[:]) == string(m.bytes())
}

// set writes the mark. It is a hint: an error costs the next program an
// examination and is not worth failing a committed transaction.
func (l *lockFile) set(m mark) {
	if l.f != nil && !l.readOnly {
		_, _ = l.f.WriteAt(m.bytes(), 0)
	}
}

// markOf reads the state of an open catalogue file.
func markOf(f *os.File) (mark, error) {
	info, err := f.Stat()
	if err != nil {
		return mark{}, err
	}
	if info.Size() == 0 {
		return mark{}, ErrMissing
	}
	m, err := readMeta(f, info.Size())
	if err != nil {
		return mark{}, err
	}
	return mark{txid: int64(m.txid), size: info.Size(), mtime: info.ModTime().UnixNano()}, nil
}
