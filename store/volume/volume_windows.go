package volume

import (
	"fmt"
	"strings"

	"golang.org/x/sys/windows"

	"garner/store/vfs"
)

// describe takes the label and the serial number that formatting gave the volume,
// and asks for its disks.
func (v *Volume) describe() {
	v.Disk = disksOf(v.Source)
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

// diskExtents is IOCTL_VOLUME_GET_VOLUME_DISK_EXTENTS, which asks for no right to the
// volume (Microsoft, winioctl.h: CTL_CODE('V', 0, METHOD_BUFFERED, FILE_ANY_ACCESS)).
const diskExtents = 0x560000

// disksOf returns the disks of a volume named \\?\Volume{…}\; of a server's, "".
func disksOf(source string) string {
	name, ok := strings.CutSuffix(source, `\`) // with it, the volume's top folder would be opened
	if !ok || !strings.HasPrefix(name, `\\?\Volume{`) {
		return ""
	}
	p, err := windows.UTF16PtrFromString(name)
	if err != nil {
		return ""
	}
	h, err := windows.CreateFile(p, 0, windows.FILE_SHARE_READ|windows.FILE_SHARE_WRITE, nil, windows.OPEN_EXISTING, 0, 0)
	if err != nil {
		return ""
	}
	defer windows.CloseHandle(h)
	var answer [8 + 32*24]byte
	var n uint32
	if windows.DeviceIoControl(h, diskExtents, nil, 0, &answer[0], uint32(len(answer)), &n, nil) != nil {
		return ""
	}
	return extents(answer[:min(int(n), len(answer))])
}

// ofMedium keeps all: those of servers were not listed.
func ofMedium(vfs.Mount) bool { return true }
