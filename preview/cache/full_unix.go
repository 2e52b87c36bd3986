//go:build unix

package cache

import (
	"errors"
	"syscall"
)

// isFull reports whether a write failed for want of room or of quota.
func isFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}
