package catalog

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// TryLock takes the lock of an open file, shared or exclusive, or returns
// ErrLocked. It ends when the file is closed or the process ends. Locks are
// mandatory here, so the byte that is locked lies far behind the clean mark.
func TryLock(f *os.File, exclusive bool) error {
	flags := uint32(windows.LOCKFILE_FAIL_IMMEDIATELY)
	if exclusive {
		flags |= windows.LOCKFILE_EXCLUSIVE_LOCK
	}
	err := windows.LockFileEx(windows.Handle(f.Fd()), flags, 0, 1, 0, &windows.Overlapped{Offset: 1 << 30})
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
		return ErrLocked
	}
	return err
}
