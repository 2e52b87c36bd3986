package vfs

import "golang.org/x/sys/unix"

// networkMagic are the numbers of statfs(2) that mean another machine. They are
// from the kernel's include/uapi/linux/magic.h and from statfs(2).
var networkMagic = map[uint32]string{
	0x6969:     "NFS",
	0x517B:     "SMB",
	0xFE534D42: "SMB",
	0xFF534D42: "CIFS",
	0x01021997: "9P",
	0x00C36400: "Ceph",
	0x5346414F: "AFS",
	0x6B414653: "AFS",
	0x73757245: "Coda",
	0x564C:     "NCP",
	0x0BD00BD0: "Lustre",
	0x47504653: "GPFS",
}

const fuseMagic = 0x65735546

// networkFUSE are the kinds of FUSE mounts that are known to reach over the
// network; all others (a local NTFS driver, say) count as local.
var networkFUSE = map[string]bool{
	"fuse.sshfs": true, "fuse.gvfsd-fuse": true, "fuse.davfs": true, "fuse.davfs2": true, "fuse.glusterfs": true,
	"fuse.curlftpfs": true, "fuse.s3fs": true, "fuse.rclone": true, "fuse.cephfs": true, "fuse.ceph-fuse": true,
	"fuse.smbnetfs": true, "fuse.kio-fuse": true, "fuse.juicefs": true, "fuse.google-drive-ocamlfuse": true,
}

// NetworkType reports whether a type, as in [Mount], is one of the FUSE mounts
// that are known to reach over the network.
func NetworkType(mountType string) bool { return networkFUSE[mountType] }

// IsNetwork implements [FS].
func (OS) IsNetwork(path string) (string, bool) {
	at := existing(path)
	var s unix.Statfs_t
	if retry(func() error { return unix.Statfs(at, &s) }) != nil {
		return "", false
	}
	return networkKind(uint32(s.Type), func() string {
		m, _ := MountOf(at) // no type is no known one
		return m.Type
	})
}

// networkKind names the network file system of that number; mountType is asked
// only where the number does not say enough.
func networkKind(magic uint32, mountType func() string) (string, bool) {
	if name, ok := networkMagic[magic]; ok {
		return name, true
	}
	if magic == fuseMagic {
		if kind := mountType(); NetworkType(kind) {
			return kind, true
		}
	}
	return "", false
}
