package vfs

import (
	"os"

	"golang.org/x/sys/unix"
)

// wholeSync are the file systems (statfs(2)) on which a folder is made durable
// by syncing all of the file system. On FAT a rename writes a new entry without
// the file's beginning and size, which follow with the inode; fsync(2) of the
// folder does not write that (fs/fat/namei_vfat.c of Linux), and a power failure
// leaves an empty file under the new name, though its content was synced. The
// others are relatives of which nobody has shown the contrary.
var wholeSync = map[uint32]bool{
	unix.MSDOS_SUPER_MAGIC: true,
	unix.EXFAT_SUPER_MAGIC: true,
	0x7366746E:             true, // NTFS3
	0x482B:                 true, // HFS+
	0x15013346:             true, // UDF
}

func syncFolder(d *os.File) error {
	var s unix.Statfs_t
	if err := retry(func() error { return unix.Fstatfs(int(d.Fd()), &s) }); err == nil && wholeSync[uint32(s.Type)] {
		return os.NewSyscallError("syncfs", retry(func() error { return unix.Syncfs(int(d.Fd())) }))
	}
	return d.Sync()
}
