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
	var root, source [windows.MAX_PATH + 1]uint16
	if err := windows.GetVolumePathName(p, &root[0], uint32(len(root))); err != nil {
		return Mount{}, &fs.PathError{Op: "find volume", Path: at, Err: err}
	}
	m := Mount{Root: windows.UTF16ToString(root[:])}
	m.Source = m.Root // a server has no volume name
	if windows.GetVolumeNameForVolumeMountPoint(&root[0], &source[0], uint32(len(source))) == nil {
		m.Source = windows.UTF16ToString(source[:])
	}
	var kind [windows.MAX_PATH + 1]uint16
	var flags uint32
	if windows.GetVolumeInformation(&root[0], nil, 0, nil, nil, &flags, &kind[0], uint32(len(kind))) == nil {
		m.Type, m.ReadOnly = windows.UTF16ToString(kind[:]), flags&windows.FILE_READ_ONLY_VOLUME != 0
	}
	return m, nil
}
