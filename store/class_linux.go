package store

import "syscall"

// classSystem knows the numbers that only Linux has. A card reader without its
// card answers ENOMEDIUM, a broken link to a device EREMOTEIO.
func classSystem(e syscall.Errno) Failure {
	switch e {
	case syscall.ENOMEDIUM, syscall.EMEDIUMTYPE, syscall.ESHUTDOWN:
		return DeviceGone
	case syscall.EREMOTEIO, syscall.EUCLEAN:
		return ReadError
	}
	return Unclassified
}
