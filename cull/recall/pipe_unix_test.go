//go:build !windows

package recall

import "syscall"

func pipe(name string) error { return syscall.Mkfifo(name, 0o666) }
