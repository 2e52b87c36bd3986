//go:build unix

package group

import (
	"syscall"
	"time"
)

// spent is the processor time that this process has used: on a machine that others
// use too, the clock on the wall measures them.
func spent() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
