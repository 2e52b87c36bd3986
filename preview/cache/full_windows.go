package cache

import (
	"errors"
	"syscall"
)

// isFull reports whether a write failed with ERROR_HANDLE_DISK_FULL,
// ERROR_DISK_FULL or ERROR_DISK_QUOTA_EXCEEDED (system error codes 39, 112,
// 1295).
func isFull(err error) bool {
	return errors.Is(err, syscall.Errno(39)) || errors.Is(err, syscall.Errno(112)) || errors.Is(err, syscall.Errno(1295))
}
