package volume

import (
	"os"
	"path/filepath"
	"strings"

	"garner/store/vfs"
)

// describe takes identity and label from the links that the system keeps for
// every block device, and the disk from the places of devices in sysfs.
func (v *Volume) describe() {
	switch v.Type {
	case "tmpfs", "ramfs", "devtmpfs":
		v.Memory = true
		return
	}
	device, err := filepath.EvalSymlinks(v.Source)
	if err != nil || !strings.HasPrefix(device, "/dev/") {
		return
	}
	v.ID = linkTo("/dev/disk/by-uuid", device)
	v.Label = linkTo("/dev/disk/by-label", device)
	v.Disk = sysfs("/sys").disks(v.Type, filepath.Base(device))
	v.Memory = inMemory(v.Disk)
}

// inMemory knows the block devices of brd and zram.
func inMemory(disk string) bool {
	return strings.HasPrefix(disk, "ram") || strings.HasPrefix(disk, "zram")
}

// ofMedium keeps mounts of devices, and those of FUSE, which name as source
// whatever they like: /dev/sdb1, an image, a camera.
func ofMedium(m vfs.Mount) bool {
	if m.Type == "fuse" || strings.HasPrefix(m.Type, "fuse.") {
		return !vfs.NetworkType(m.Type) && m.Type != "fuse.portal" && m.Type != "fuse.lxcfs"
	}
	return strings.HasPrefix(m.Source, "/dev/") && m.Type != "devtmpfs"
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
