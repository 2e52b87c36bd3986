package volume

import (
	"path/filepath"
	"strings"
)

// describe takes the label from the place that the system mounts volumes at, and
// the disk from the device's name: /dev/disk4s1 is slice 1 of disk4.
func (v *Volume) describe() {
	if filepath.Dir(v.Root) == "/Volumes" {
		v.Label = filepath.Base(v.Root)
	}
	name, ok := strings.CutPrefix(v.Source, "/dev/disk")
	if !ok {
		return
	}
	number, _, _ := strings.Cut(name, "s")
	v.Disk = "disk" + number
}
