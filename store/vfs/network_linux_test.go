package vfs

import (
	"testing"

	"golang.org/x/sys/unix"
)

// The numbers on the left are those of golang.org/x/sys, which takes them from
// the kernel's headers.
func TestNetworkKind(t *testing.T) {
	for _, c := range []struct {
		magic uint32
		kind  string
		want  string
	}{
		{unix.NFS_SUPER_MAGIC, "", "NFS"}, {unix.SMB_SUPER_MAGIC, "", "SMB"}, {unix.SMB2_SUPER_MAGIC, "", "SMB"}, {unix.CIFS_SUPER_MAGIC, "", "CIFS"},
		{unix.V9FS_MAGIC, "", "9P"}, {unix.CEPH_SUPER_MAGIC, "", "Ceph"}, {unix.AFS_SUPER_MAGIC, "", "AFS"}, {unix.AFS_FS_MAGIC, "", "AFS"},
		{unix.CODA_SUPER_MAGIC, "", "Coda"}, {unix.NCP_SUPER_MAGIC, "", "NCP"},
		{unix.FUSE_SUPER_MAGIC, "fuse.sshfs", "fuse.sshfs"}, {unix.FUSE_SUPER_MAGIC, "fuseblk", ""}, {unix.FUSE_SUPER_MAGIC, "virtiofs", ""}, {unix.FUSE_SUPER_MAGIC, "", ""},
		{unix.EXT4_SUPER_MAGIC, "fuse.sshfs", ""}, {unix.XFS_SUPER_MAGIC, "", ""}, {unix.BTRFS_SUPER_MAGIC, "", ""}, {unix.MSDOS_SUPER_MAGIC, "", ""}, {unix.EXFAT_SUPER_MAGIC, "", ""},
	} {
		got, yes := networkKind(c.magic, func() string { return c.kind })
		if got != c.want || yes != (c.want != "") {
			t.Errorf("%#x %s: %q, %v, want %q", c.magic, c.kind, got, yes, c.want)
		}
	}
}
