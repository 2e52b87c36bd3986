package store

import "syscall"

// classSystem knows the numbers that only macOS has: a powered-down device and a
// device in error.
func classSystem(e syscall.Errno) Failure {
	switch e {
	case syscall.EPWROFF, syscall.ESHUTDOWN:
		return DeviceGone
	case syscall.EDEVERR:
		return ReadError
	}
	return Unclassified
}
