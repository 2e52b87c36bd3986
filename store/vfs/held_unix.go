//go:build linux || darwin

package vfs

import "syscall"

// Links returns how many names the file has.
func (f osFile) Links() (int, bool) {
	info, err := f.Stat()
	if err != nil {
		return 0, false
	}
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return 0, false
	}
	return int(s.Nlink), true
}
