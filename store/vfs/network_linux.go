package vfs

import (
	"bytes"
	"os"
	"strconv"

	"golang.org/x/sys/unix"
)

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

// IsNetwork implements [FS].
func (OS) IsNetwork(path string) (string, bool) {
	at := existing(path)
	var s unix.Statfs_t
	if retry(func() error { return unix.Statfs(at, &s) }) != nil {
		return "", false
	}
	if name, ok := networkMagic[uint32(s.Type)]; ok {
		return name, true
	}
	if uint32(s.Type) != fuseMagic {
		return "", false
	}
	var st unix.Stat_t
	if retry(func() error { return unix.Stat(at, &st) }) != nil {
		return "", false
	}
	table, err := os.ReadFile("/proc/self/mountinfo")
	if err != nil {
		return "", false
	}
	kind := mountType(table, unix.Major(st.Dev), unix.Minor(st.Dev))
	return kind, networkFUSE[kind]
}

// mountType finds the file system type of a device in a mount table as proc(5)
// describes it: the third field is major:minor, and the type follows a lone "-"
// after the optional fields.
func mountType(table []byte, major, minor uint32) string {
	device := strconv.FormatUint(uint64(major), 10) + ":" + strconv.FormatUint(uint64(minor), 10)
	for line := range bytes.Lines(table) {
		fields := bytes.Fields(line)
		if len(fields) < 6 || string(fields[2]) != device {
			continue
		}
		for i := 6; i+1 < len(fields); i++ {
			if string(fields[i]) == "-" {
				return string(fields[i+1])
			}
		}
	}
	return ""
}
