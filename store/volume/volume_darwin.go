package volume

import (
	"path/filepath"
	"strings"

	"garner/store/vfs"
)

// describe takes the label from the place that the system mounts volumes at, and
// the disk from the device's name: /dev/disk4s1 is slice 1 of disk4.
func (v *Volume) describe() {
	if filepath.Dir(v.Root) == "/Volumes" {
		v.Label = filepath.Base(v.Root)
	}
	v.Memory = v.Type == "tmpfs"
	name, ok := strings.CutPrefix(v.Source, "/dev/disk")
	if !ok {
		return
	}
	number, _, _ := strings.Cut(name, "s")
	v.Disk = "disk" + number
}

// ofMedium keeps mounts of devices. Snapshots and the system's own volumes have
// devices too; there is no telling them apart here, and no harm in it.
func ofMedium(m vfs.Mount) bool { return strings.HasPrefix(m.Source, "/dev/disk") }
