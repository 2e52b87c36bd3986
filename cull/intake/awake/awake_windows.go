package awake

import (
	"runtime"

	"golang.org/x/sys/windows"
)

// Flags of SetThreadExecutionState (Microsoft, winbase.h).
const (
	esContinuous     = 0x80000000
	esSystemRequired = 0x00000001
)

// keep sets the state of one thread, which has to live until it is taken back: the
// state belongs to the thread and ends with it.
func keep(string) func() {
	set := windows.NewLazySystemDLL("kernel32.dll").NewProc("SetThreadExecutionState")
	if set.Find() != nil {
		return func() {}
	}
	release, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		_, _, _ = set.Call(esContinuous | esSystemRequired)
		<-release
		_, _, _ = set.Call(esContinuous)
	}()
	return func() {
		close(release)
		<-done
	}
}
