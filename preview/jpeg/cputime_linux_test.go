package jpeg

import (
	"syscall"
	"time"
)

// cpuTime is the processor time that this thread has taken, so that a busy
// machine counts less. The caller has locked its goroutine to the thread.
func cpuTime() time.Duration {
	const thread = 1 // RUSAGE_THREAD
	var use syscall.Rusage
	if err := syscall.Getrusage(thread, &use); err != nil {
		return 0
	}
	return time.Duration(use.Utime.Nano() + use.Stime.Nano())
}
