//go:build !windows

package catalog

import (
	"os"

	"golang.org/x/sys/unix"
)

// TryLock takes the lock of an open file, shared or exclusive, or returns
// ErrLocked. It ends when the file is closed or the process ends. It belongs to
// the open file, not to the process: two goroutines exclude each other too.
func TryLock(f *os.File, exclusive bool) error {
	how := unix.LOCK_SH
	if exclusive {
		how = unix.LOCK_EX
	}
	for {
		switch err := unix.Flock(int(f.Fd()), how|unix.LOCK_NB); err {
		case unix.EINTR:
		case unix.EWOULDBLOCK:
			return ErrLocked
		default:
			return err
		}
	}
}
