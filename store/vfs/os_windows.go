package vfs

import (
	"errors"
	"io/fs"
	"os"
	"unsafe"

	"golang.org/x/sys/windows"
)

// Rename implements [FS]. It returns when the new name is on the disk
// (MOVEFILE_WRITE_THROUGH), because SyncDir can't do that later.
func (OS) Rename(from, to string) error {
	return move(from, to, windows.MOVEFILE_REPLACE_EXISTING|windows.MOVEFILE_WRITE_THROUGH)
}

// RenameNew implements [FS].
func (OS) RenameNew(from, to string) error {
	return move(from, to, windows.MOVEFILE_WRITE_THROUGH)
}

func move(from, to string, flags uint32) error {
	f, err := windows.UTF16PtrFromString(from)
	if err == nil {
		var t *uint16
		if t, err = windows.UTF16PtrFromString(to); err == nil {
			err = windows.MoveFileEx(f, t, flags)
		}
	}
	if err != nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
	}
	return nil
}

// SyncDir implements [FS]. Windows can't sync a folder; it only says whether
// there is one.
func (OS) SyncDir(name string) error {
	info, err := os.Stat(name)
	if err == nil && !info.IsDir() {
		err = &fs.PathError{Op: "sync folder", Path: name, Err: windows.ERROR_DIRECTORY}
	}
	return err
}

// Clone implements [FS]. NTFS can't share content.
func (OS) Clone(from, to string) (bool, error) { return false, nil }

// Preallocate implements [File] with FileAllocationInfo, which leaves the size.
func (f osFile) Preallocate(size int64) error {
	if size <= 0 {
		return nil
	}
	err := windows.SetFileInformationByHandle(windows.Handle(f.Fd()), windows.FileAllocationInfo,
		(*byte)(unsafe.Pointer(&size)), uint32(unsafe.Sizeof(size)))
	if errors.Is(err, windows.ERROR_DISK_FULL) || errors.Is(err, windows.ERROR_DISK_QUOTA_EXCEEDED) || errors.Is(err, windows.ERROR_FILE_TOO_LARGE) {
		return &os.PathError{Op: "preallocate", Path: f.Name(), Err: err}
	}
	return nil
}

// DropCache implements [File]. Reading past the cache would need a file opened
// for aligned access only, so it says that it can't.
func (f osFile) DropCache() bool { return false }

// FreeSpace implements [FS].
func (OS) FreeSpace(path string) (int64, error) {
	at := existing(path)
	p, err := windows.UTF16PtrFromString(at)
	var free uint64
	if err == nil {
		err = windows.GetDiskFreeSpaceEx(p, &free, nil, nil)
	}
	if err != nil {
		return 0, &fs.PathError{Op: "free space", Path: at, Err: err}
	}
	return int64(min(free, 1<<63-1)), nil
}

// IsNetwork implements [FS]: a path whose volume is a remote drive, which
// includes \\server\share.
func (OS) IsNetwork(path string) (string, bool) {
	p, err := windows.UTF16PtrFromString(existing(path))
	if err != nil {
		return "", false
	}
	var root [windows.MAX_PATH + 1]uint16
	if windows.GetVolumePathName(p, &root[0], uint32(len(root))) != nil {
		return "", false
	}
	if windows.GetDriveType(&root[0]) == windows.DRIVE_REMOTE {
		return "network drive", true
	}
	return "", false
}
