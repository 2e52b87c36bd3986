package vfs

import "syscall"

func changeTime(s *syscall.Stat_t) syscall.Timespec { return s.Ctimespec }
