//go:build !windows

package catalog

import (
	"os"

	"golang.org/x/sys/unix"
)

// tryLock takes the lock of an open file, or returns errLocked. It belongs to
// the open file, not to the process: two goroutines exclude each other too.
func tryLock(f *os.File, exclusive bool) error {
	how := unix.LOCK_SH
	if exclusive {
		how = unix.LOCK_EX
	}
	for {
		switch err := unix.Flock(int(f.Fd()), how|unix.LOCK_NB); err {
		case unix.EINTR:
		case unix.EWOULDBLOCK:
			return errLocked
		default:
			return err
		}
	}
}

// syncDir makes a rename in dir durable.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}
