package vfs

import (
	"strings"
	"testing"
)

// The lines follow the example of proc(5), section /proc/pid/mountinfo.
const mountTable = `36 35 98:0 /mnt1 /mnt2 rw,noatime master:1 - ext3 /dev/root rw,errors=continue
40 36 0:52 / /home/a/remote rw,nosuid shared:5 master:2 - fuse.sshfs host:/srv rw
41 36 0:53 / /media/stick rw - fuseblk /dev/sdc1 rw
`

func TestMountType(t *testing.T) {
	for _, c := range []struct {
		major, minor uint32
		want         string
	}{{98, 0, "ext3"}, {0, 52, "fuse.sshfs"}, {0, 53, "fuseblk"}, {0, 5, ""}, {8, 0, ""}} {
		if got := mountType([]byte(mountTable), c.major, c.minor); got != c.want {
			t.Errorf("%d:%d is %q, want %q", c.major, c.minor, got, c.want)
		}
	}
}

func TestLocalFileSystems(t *testing.T) {
	for _, dir := range []string{"/proc", "/proc/no/such/folder", "/dev"} {
		if kind, yes := (OS{}).IsNetwork(dir); yes {
			t.Errorf("%s is on %s", dir, kind)
		}
	}
}

// FuzzMountType holds: the type is a word of the table, and one that follows "-".
func FuzzMountType(f *testing.F) {
	f.Add([]byte(mountTable), uint32(0), uint32(52))
	f.Add([]byte("1 2 0:1 / / rw -"), uint32(0), uint32(1))
	f.Add([]byte("1 2 0:1 / / rw - \n"), uint32(0), uint32(1))
	f.Fuzz(func(t *testing.T, table []byte, major, minor uint32) {
		got := mountType(table, major, minor)
		if got == "" {
			return
		}
		if strings.ContainsAny(got, " \n\t") {
			t.Errorf("%q is no word", got)
		}
		words := strings.Fields(string(table))
		for i := 1; i < len(words); i++ {
			if words[i] == got && words[i-1] == "-" {
				return
			}
		}
		t.Errorf("%q does not follow a dash", got)
	})
}
