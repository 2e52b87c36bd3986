package volume

import (
	"fmt"

	"golang.org/x/sys/windows"

	"garner/store/vfs"
)

// describe takes the label and the serial number that formatting gave the volume.
func (v *Volume) describe() {
	root, err := windows.UTF16PtrFromString(v.Root)
	if err != nil {
		return
	}
	var label [windows.MAX_PATH + 1]uint16
	var serial uint32
	if windows.GetVolumeInformation(root, &label[0], uint32(len(label)), &serial, nil, nil, nil, 0) == nil {
		v.Label = windows.UTF16ToString(label[:])
		v.ID = fmt.Sprintf("%04X-%04X", serial>>16, serial&0xFFFF)
	}
}

// ofMedium keeps all: those of servers were not listed.
func ofMedium(vfs.Mount) bool { return true }
