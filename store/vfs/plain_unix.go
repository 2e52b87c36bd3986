//go:build linux || darwin

package vfs

import (
	"io/fs"
	"os"
	"syscall"
)

// openAtOnce opens a file without waiting, through no link.
func openAtOnce(path string) (*os.File, error) {
	return os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK|syscall.O_NOFOLLOW, 0)
}

// Touched is when the bytes or the properties of a file were changed last, in
// nanoseconds since 1970. The system says so, and no program can say otherwise: the time
// of modification may be set to any. 0 = that is not known.
func Touched(info fs.FileInfo) int64 {
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return 0
	}
	at := changeTime(s)
	return at.Nano()
}
