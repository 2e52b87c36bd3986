package intake

import (
	"io/fs"
	"syscall"
)

// userImmutable is UF_IMMUTABLE of sys/stat.h: the Finder's "locked".
const userImmutable = 0x2

func immutable(info fs.FileInfo) bool {
	st, ok := info.Sys().(*syscall.Stat_t)
	return ok && st.Flags&userImmutable != 0
}
