package vfs

import (
	"io/fs"

	"golang.org/x/sys/windows"
)

// MountOf returns the volume that a path, or the nearest existing folder above
// it, lies on.
func MountOf(path string) (Mount, error) {
	at := existing(path)
	p, err := windows.UTF16PtrFromString(at)
	if err != nil {
		return Mount{}, &fs.PathError{Op: "find volume", Path: at, Err: err}
	}
	var root [windows.MAX_PATH + 1]uint16
	if err := windows.GetVolumePathName(p, &root[0], uint32(len(root))); err != nil {
		return Mount{}, &fs.PathError{Op: "find volume", Path: at, Err: err}
	}
	m, _ := volumeAt(&root[0])
	return m, nil
}

// Mounts returns the drives of this machine that hold a medium, not those of
// servers: one that is away would hold everybody up.
func Mounts() ([]Mount, error) {
	drives, err := windows.GetLogicalDrives()
	if err != nil {
		return nil, &fs.PathError{Op: "list drives", Path: ".", Err: err}
	}
	var mounts []Mount
	for i := range 26 {
		if drives&(1<<i) == 0 {
			continue
		}
		root := []uint16{uint16('A' + i), ':', '\\', 0}
		if kind := windows.GetDriveType(&root[0]); kind == windows.DRIVE_REMOTE || kind == windows.DRIVE_NO_ROOT_DIR {
			continue
		}
		if m, ok := volumeAt(&root[0]); ok {
			mounts = append(mounts, m)
		}
	}
	return mounts, nil
}

// volumeAt describes the volume of a root and reports whether there is a medium.
func volumeAt(root *uint16) (m Mount, present bool) {
	m.Root = windows.UTF16PtrToString(root)
	var source [windows.MAX_PATH + 1]uint16
	m.Source = m.Root // a server has no volume name
	if windows.GetVolumeNameForVolumeMountPoint(root, &source[0], uint32(len(source))) == nil {
		m.Source = windows.UTF16ToString(source[:])
	}
	var kind [windows.MAX_PATH + 1]uint16
	var flags uint32
	if windows.GetVolumeInformation(root, nil, 0, nil, nil, &flags, &kind[0], uint32(len(kind))) == nil {
		m.Type, m.ReadOnly = windows.UTF16ToString(kind[:]), flags&windows.FILE_READ_ONLY_VOLUME != 0
		present = true
	}
	return m, present
}
