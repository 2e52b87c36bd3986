package volume

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/store/vfs"
)

// devices builds the folders that the kernel shows for block devices
// (Documentation/ABI/stable/sysfs-block) and the links to devices beside them: a
// card with a partition; LVM on LUKS on a partition of sda; a mirror of sda and
// sdc; bcache of sdd and nvme0n1; btrfs on sde1 and dm-1.
func devices(t *testing.T) string {
	t.Helper()
	root := t.TempDir()
	write := func(path string) {
		t.Helper()
		path = filepath.Join(root, path)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte("1\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	link := func(path, to string) {
		t.Helper()
		path = filepath.Join(root, path)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(to, path); err != nil {
			t.Fatal(err)
		}
	}
	for name, at := range map[string]string{
		"sda": "sda", "sda1": "sda/sda1", "sda2": "sda/sda2", "sdb": "sdb", "sdb1": "sdb/sdb1", "sdc": "sdc", "sdd": "sdd", "sde": "sde", "sde1": "sde/sde1",
		"nvme0n1": "nvme0n1", "nvme0n1p1": "nvme0n1/nvme0n1p1", "dm-0": "dm-0", "dm-1": "dm-1", "md0": "md0", "bcache0": "bcache0", "zram0": "zram0", "loop": "loop",
	} {
		write("devices/block/" + at + "/dev")
		if strings.Contains(at, "/") {
			write("devices/block/" + at + "/partition")
		}
		link("class/block/"+name, "../../devices/block/"+at)
	}
	for _, below := range []string{"dm-0/sda2", "dm-1/dm-0", "md0/sda1", "md0/sdc", "bcache0/sdd", "bcache0/nvme0n1p1", "loop/loop"} {
		device, slave := filepath.Split(below)
		link("devices/block/"+device+"slaves/"+slave, "../../"+slave)
	}
	link("fs/btrfs/1c2e/devices/sde1", "../../../../devices/block/sde/sde1")
	link("fs/btrfs/1c2e/devices/dm-1", "../../../../devices/block/dm-1")
	write("fs/btrfs/features/raid1")
	write("dev/sdb1")
	write("dev/sdc1")
	link(`by-label/EOS\x20DIGITAL`, "../dev/sdb1")
	link("by-label/broken", "../dev/nothing")
	real, err := filepath.EvalSymlinks(root)
	if err != nil {
		t.Fatal(err)
	}
	return real
}

func TestDisks(t *testing.T) {
	s := sysfs(devices(t))
	for _, c := range []struct{ name, fsType, device, want string }{
		{"a partition", "exfat", "sdb1", "sdb"},
		{"a card without partitions", "vfat", "sdb", "sdb"},
		{"not there", "ext4", "sdx", ""},
		{"LUKS", "ext4", "dm-0", "sda"},
		{"LVM on LUKS", "ext4", "dm-1", "sda"},
		{"a mirror", "ext4", "md0", "sda+sdc"},
		{"bcache", "ext4", "bcache0", "nvme0n1+sdd"},
		{"btrfs on two", "btrfs", "sde1", "sda+sde"},
		{"btrfs on two, mounted by the other", "btrfs", "dm-1", "sda+sde"},
		{"btrfs that is not listed", "btrfs", "sdb1", "sdb"},
		{"a device made of itself", "ext4", "loop", "loop"},
	} {
		if got := s.disks(c.fsType, c.device); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestInMemory(t *testing.T) {
	for disk, want := range map[string]bool{"sda": false, "": false, "zram0": true, "ram1": true, "nvme0n1+sdd": false} {
		if inMemory(disk) != want {
			t.Errorf("%q: %v", disk, !want)
		}
	}
	for dir, want := range map[string]bool{"/dev/shm": true, "/proc": false} {
		v, err := Of(dir)
		if err != nil || v.Memory != (want && v.Type == "tmpfs") {
			t.Errorf("%s: %+v, %v", dir, v, err)
		}
	}
}

func TestOfMedium(t *testing.T) {
	for _, c := range []struct {
		source, fsType string
		want           bool
	}{
		{"/dev/sdb1", "exfat", true},
		{"/dev/sdb1", "fuseblk", true},
		{"/dev/mapper/home", "ext4", true},
		{"/home/a/card.img", "fuse", true},
		{"jmtpfs", "fuse.jmtpfs", true},
		{"host:/srv", "fuse.sshfs", false},
		{"portal", "fuse.portal", false},
		{"host:/srv", "nfs4", false},
		{"//host/share", "cifs", false},
		{"tmpfs", "tmpfs", false},
		{"proc", "proc", false},
		{"fusectl", "fusectl", false},
		{"/dev/x", "devtmpfs", false},
	} {
		if got := ofMedium(vfs.Mount{Root: "/x", Source: c.source, Type: c.fsType}); got != c.want {
			t.Errorf("%s of type %s: %v", c.source, c.fsType, got)
		}
	}
}

func TestLinkTo(t *testing.T) {
	root := devices(t)
	if got := linkTo(filepath.Join(root, "by-label"), filepath.Join(root, "dev", "sdb1")); got != "EOS DIGITAL" {
		t.Errorf("label %q", got)
	}
	if got := linkTo(filepath.Join(root, "by-label"), filepath.Join(root, "dev", "sdc1")); got != "" {
		t.Errorf("a device without a label has %q", got)
	}
	if got := linkTo(filepath.Join(root, "nothing"), "/dev/sdb1"); got != "" {
		t.Errorf("%q", got)
	}
}

// FuzzUnescape holds: escaping the result gives what reads the same again, and
// names without a backslash stay.
func FuzzUnescape(f *testing.F) {
	f.Add(`EOS\x20DIGITAL`)
	f.Add(`a\x5cx20`)
	f.Add(`\x`)
	f.Add(`\xg0\x2`)
	f.Fuzz(func(t *testing.T, s string) {
		got := unescape(s)
		if len(got) > len(s) {
			t.Errorf("%q grew to %q", s, got)
		}
		if !strings.Contains(s, `\`) && got != s {
			t.Errorf("%q became %q", s, got)
		}
		if again := unescape(strings.ReplaceAll(got, `\`, `\x5c`)); again != got {
			t.Errorf("%q, escaped and read again, is %q", got, again)
		}
	})
}
