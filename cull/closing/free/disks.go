package free

import "garner/store/volume"

// apart reports whether two volumes are known to lie on different disks, so that one
// survives what happens to the other. Memory is no disk.
func apart(a, b volume.Volume) bool {
	known := func(v volume.Volume) bool { return (v.Disk != "" || v.Network != "") && !v.Memory }
	return known(a) && known(b) && !a.SameDisk(b)
}
