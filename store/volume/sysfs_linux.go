package volume

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// sysfs is where the kernel shows its devices (Documentation/ABI/stable/
// sysfs-block of Linux), /sys but in tests.
type sysfs string

// maxLayers is how many devices may lie on top of each other: a file system on
// LVM on LUKS on RAID on partitions is five.
const maxLayers = 10

// disks returns the disks below a block device that holds a file system of that
// type, sorted, joined by "+".
func (s sysfs) disks(fsType, device string) string {
	found := map[string]bool{}
	for _, d := range s.members(fsType, device) {
		s.descend(d, maxLayers, found)
	}
	var names []string
	for d := range found {
		names = append(names, d)
	}
	slices.Sort(names)
	return strings.Join(names, "+")
}

// members returns the devices that a file system spans: btrfs lists them all in
// a folder for each file system, and only one of them is the source of a mount.
func (s sysfs) members(fsType, device string) []string {
	if fsType != "btrfs" {
		return []string{device}
	}
	lists, _ := filepath.Glob(filepath.Join(string(s), "fs", "btrfs", "*", "devices"))
	for _, list := range lists {
		if devices := names(list); slices.Contains(devices, device) {
			return devices
		}
	}
	return []string{device}
}

// descend goes from a device to those that it is made of: a partition has a file
// "partition" and lies in the folder of its disk; device mapper, RAID and bcache
// list theirs in a folder "slaves".
func (s sysfs) descend(device string, layers int, found map[string]bool) {
	at, err := filepath.EvalSymlinks(filepath.Join(string(s), "class", "block", device))
	if err != nil {
		return
	}
	if _, err := os.Stat(filepath.Join(at, "partition")); err == nil {
		at = filepath.Dir(at)
	}
	below := names(filepath.Join(at, "slaves"))
	if len(below) == 0 || layers == 0 {
		found[filepath.Base(at)] = true
		return
	}
	for _, d := range below {
		s.descend(d, layers-1, found)
	}
}

// names lists a folder; a missing one is empty.
func names(dir string) (found []string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	for _, e := range entries {
		found = append(found, e.Name())
	}
	return found
}
