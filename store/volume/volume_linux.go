package volume

import (
	"os"
	"path/filepath"
	"strings"
)

// describe takes identity and label from the links that the system keeps for
// every block device, and the disk from the place of the partition in sysfs.
func (v *Volume) describe() {
	device, err := filepath.EvalSymlinks(v.Source)
	if err != nil || !strings.HasPrefix(device, "/dev/") {
		return
	}
	v.ID = linkTo("/dev/disk/by-uuid", device)
	v.Label = linkTo("/dev/disk/by-label", device)
	v.Disk = diskOf("/sys/class/block", filepath.Base(device))
}

// linkTo returns the name of the link in dir that leads to device.
func linkTo(dir, device string) string {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return ""
	}
	for _, e := range entries {
		if to, err := filepath.EvalSymlinks(filepath.Join(dir, e.Name())); err == nil && to == device {
			return unescape(e.Name())
		}
	}
	return ""
}

// diskOf finds the disk of a block device: a partition has a file "partition",
// and lies in the folder of its disk.
func diskOf(class, name string) string {
	at, err := filepath.EvalSymlinks(filepath.Join(class, name))
	if err != nil {
		return ""
	}
	if _, err := os.Stat(filepath.Join(at, "partition")); err == nil {
		at = filepath.Dir(at)
	}
	return filepath.Base(at)
}

// unescape turns the \x20 of a link's name back into the byte.
func unescape(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if i+3 < len(s) && s[i] == '\\' && s[i+1] == 'x' {
			hi, lo := digit(s[i+2]), digit(s[i+3])
			if hi >= 0 && lo >= 0 {
				b.WriteByte(byte(hi<<4 | lo))
				i += 3
				continue
			}
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

func digit(c byte) int { return strings.IndexByte("0123456789abcdef", c) }
