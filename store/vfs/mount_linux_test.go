package vfs

import (
	"strings"
	"testing"
)

// The first line is the example of proc(5), section /proc/pid/mountinfo.
const mountTable = `36 35 98:0 /mnt1 /mnt2 rw,noatime master:1 - ext3 /dev/root rw,errors=continue
20 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
40 36 0:52 / /home/a/remote rw,nosuid shared:5 master:2 - fuse.sshfs host:/srv rw
41 36 8:33 / /media/EOS\040DIGITAL rw - exfat /dev/sdc1 ro,iocharset=utf8
42 36 8:34 / /media/x rw - vfat /dev/sdd1 rw
43 36 8:35 / /media/x ro,nodev - ext2 /dev/sde1 rw
`

func TestFindMount(t *testing.T) {
	for path, want := range map[string]Mount{
		"/mnt2/a":                  {"/mnt2", "/dev/root", "ext3", false},
		"/mnt2":                    {"/mnt2", "/dev/root", "ext3", false},
		"/mnt20":                   {"/", "/dev/sda1", "ext4", false},
		"/":                        {"/", "/dev/sda1", "ext4", false},
		"/home/a/remote/job":       {"/home/a/remote", "host:/srv", "fuse.sshfs", false},
		"/media/EOS DIGITAL/DCIM":  {"/media/EOS DIGITAL", "/dev/sdc1", "exfat", true},
		"/media/x/covered":         {"/media/x", "/dev/sde1", "ext2", true}, // the later lies on top
		"/media/EOS\\040DIGITAL/a": {"/", "/dev/sda1", "ext4", false},
	} {
		if got, ok := findMount([]byte(mountTable), path); !ok || got != want {
			t.Errorf("%s lies on %+v, want %+v", path, got, want)
		}
	}
	if got, ok := findMount([]byte(mountTable), "relative"); ok {
		t.Errorf("a relative path lies on %+v", got)
	}
}

func TestParseMounts(t *testing.T) {
	var roots []string
	for _, m := range parseMounts([]byte(mountTable)) {
		roots = append(roots, m.Root+" "+m.Type)
	}
	want := "/mnt2 ext3, / ext4, /home/a/remote fuse.sshfs, /media/EOS DIGITAL exfat, /media/x ext2"
	if got := strings.Join(roots, ", "); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}

func TestMountOfProc(t *testing.T) {
	m, err := MountOf("/proc/self/no/such/thing")
	if err != nil || m.Type != "proc" {
		t.Errorf("%+v, %v", m, err)
	}
}

func TestLocalFileSystems(t *testing.T) {
	for _, dir := range []string{"/proc", "/proc/no/such/folder", "/dev"} {
		if kind, yes := (OS{}).IsNetwork(dir); yes {
			t.Errorf("%s is on %s", dir, kind)
		}
	}
}

func TestUnescape(t *testing.T) {
	for in, want := range map[string]string{`a\040b`: "a b", `a\134b`: `a\b`, `a\011\012`: "a\t\n", `a\04`: `a\04`, `\`: `\`, `\777`: `\777`, `\108`: `\108`} {
		if got := unescape(in); got != want {
			t.Errorf("%s: %q, want %q", in, got, want)
		}
	}
}

// FuzzFindMount holds: a mount that is found covers the path, and a table in
// which "/" is mounted has one for every absolute path.
func FuzzFindMount(f *testing.F) {
	f.Add([]byte(mountTable), "/media/EOS DIGITAL/DCIM")
	f.Add([]byte("1 2 0:1 / / rw -"), "/")
	f.Add([]byte("1 2 0:1 / / rw - \n"), "/a")
	f.Add([]byte("1 2 3 4 5 - 7 8 9 10 11"), "5")
	f.Fuzz(func(t *testing.T, table []byte, path string) {
		got, ok := findMount(table, path)
		if !ok {
			if got != (Mount{}) {
				t.Errorf("nothing found, and %+v", got)
			}
		} else if !strings.HasPrefix(path, got.Root) {
			t.Errorf("%q does not lie under %q", path, got.Root)
		}
		rooted := append([]byte("20 1 8:1 / / rw - ext4 /dev/sda1 rw\n"), table...)
		if _, ok := findMount(rooted, "/"+path); !ok {
			t.Errorf("%q lies nowhere", "/"+path)
		}
	})
}
