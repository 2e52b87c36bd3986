//go:build !windows

package free

import "syscall"

func pipe(name string) error { return syscall.Mkfifo(name, 0o666) }
