// Package volume says on which card or disk a path lies: whether two copies
// stand on one disk, how a card is labelled, how much fits.
//
// # Caveats
//
// What a system does not tell cheaply is left empty: nothing is mounted, probed
// or asked with special rights. On Linux Disk sees through partitions, LVM, LUKS,
// software RAID, bcache and btrfs, on Windows through its own manager's volumes.
// Hardware RAID, images and vaults mounted as volumes, servers of two names and
// virtual machines hide what lies underneath, so that two different Disk values are
// no proof of two pieces of hardware.
package volume

import (
	"slices"
	"strings"

	"garner/store"
	"garner/store/vfs"
)

// Volume is a mounted file system.
type Volume struct {
	vfs.Mount
	ID      string // stays when the volume is taken out and put back; empty if the system does not say
	Label   string // the name that its owner or the camera gave it
	Disk    string // the device that the volume is a part of, several joined by "+"; may be empty
	Memory  bool   // kept in memory: gone when the machine is switched off
	Network string // the network file system that it is; empty for local ones
	Free    int64  // bytes that this user can still write
}

// Of returns the volume that a path lies on. The path, or its end, need not exist
// yet.
func Of(path string) (Volume, error) {
	m, err := vfs.MountOf(path)
	if err != nil {
		return Volume{}, store.Wrap("find volume", path, err)
	}
	v := Volume{Mount: m}
	if v.Free, err = (vfs.OS{}).FreeSpace(path); err != nil {
		return Volume{}, store.Wrap("find volume", path, err)
	}
	v.Network, _ = vfs.OS{}.IsNetwork(path)
	v.describe()
	return v, nil
}

// Mounts returns the mounts that may be a card or a disk: what the system keeps
// for itself, memory and servers are left out. It asks no medium, so it can be
// called again and again; [Of] a mount's Root tells more.
func Mounts() ([]vfs.Mount, error) {
	all, err := vfs.Mounts()
	if err != nil {
		return nil, store.Wrap("list volumes", "", err)
	}
	return slices.DeleteFunc(all, func(m vfs.Mount) bool { return !ofMedium(m) }), nil
}

// SameDisk reports whether what is on v may be lost together with what is on w:
// they are one volume, or parts of one disk, or share one of several disks, or are
// of one server or pool.
func (v Volume) SameDisk(w Volume) bool {
	switch {
	case v.Root == w.Root, v.Source != "" && v.Source == w.Source, shareDisk(v.Disk, w.Disk):
		return true
	case v.Network != "" && w.Network != "":
		h := host(v.Source)
		return h != "" && h == host(w.Source)
	}
	p := pool(v.Type, v.Source)
	return p != "" && p == pool(w.Type, w.Source)
}

func shareDisk(a, b string) bool {
	others := strings.Split(b, "+")
	return slices.ContainsFunc(strings.Split(a, "+"), func(disk string) bool {
		return disk != "" && slices.Contains(others, disk)
	})
}
