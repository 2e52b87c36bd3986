package vfs

// Mount is where a path lies: a file system in its place.
type Mount struct {
	Root     string // the folder (on Windows also a drive) that it begins at
	Source   string // what the system calls the device or server: /dev/sdb1, host:/srv, \\?\Volume{…}\
	Type     string // as the system says it: ext4, exfat, apfs, NTFS, fuse.sshfs, …
	ReadOnly bool
}
