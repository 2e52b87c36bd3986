package volume

import (
	"testing"

	"garner/store/vfs"
)

// What is lost together counts as one disk: shares of one server, datasets of one
// pool, devices of one source.
func TestLostTogether(t *testing.T) {
	server := func(source string) Volume {
		return Volume{Mount: vfs.Mount{Root: "/mnt/" + source, Source: source}, Network: "NFS"}
	}
	zfs := func(source string) Volume {
		return Volume{Mount: vfs.Mount{Root: "/" + source, Source: source, Type: "zfs"}}
	}
	disk := func(name, device string) Volume {
		return Volume{Mount: vfs.Mount{Root: "/mnt/" + device, Source: "/dev/" + device}, Disk: name}
	}
	for _, c := range []struct {
		name string
		a, b Volume
		want bool
	}{
		{"two exports", server("nas:/a"), server("nas:/b"), true},
		{"two servers", server("nas:/a"), server("other:/a"), false},
		{"two shares", server("//anna@NAS/a"), server(`\\nas\b`), true},
		{"home folders by ssh", server("anna@nas:"), server("nas:/b"), true},
		{"no server named", server("gvfsd-fuse"), server("rclone"), false},
		{"IPv6", server("[fe80::1]:/a"), server("[fe80::2]:/a"), false},
		{"a server and a disk", server("nas:/a"), disk("sda", "sda1"), false},
		{"one pool", zfs("tank/jobs"), zfs("tank/copies"), true},
		{"two pools", zfs("tank/jobs"), zfs("back"), false},
		{"two partitions", disk("sda", "sda1"), disk("sda", "sda2"), true},
		{"two disks", disk("sda", "sda1"), disk("sdb", "sdb1"), false},
		{"a mirror and one of its disks", disk("sda+sdb", "md0"), disk("sdb", "sdb3"), true},
	} {
		if got, back := c.a.SameDisk(c.b), c.b.SameDisk(c.a); got != c.want || back != c.want {
			t.Errorf("%s: %v, and the other way %v", c.name, got, back)
		}
	}
}

// An extent is 24 bytes after a count that is aligned to 8 (Microsoft,
// VOLUME_DISK_EXTENTS).
func TestExtents(t *testing.T) {
	two := make([]byte, 8+2*24)
	two[0], two[8], two[32] = 2, 1, 3
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"none", make([]byte, 8), ""}, {"nothing", nil, ""}, {"two", two, "disk1+disk3"}, {"cut short", two[:40], "disk1"},
	} {
		if got := extents(c.data); got != c.want {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}

func FuzzHost(f *testing.F) {
	for _, s := range []string{"nas:/a", "//anna@nas/a", `\\nas\b`, "anna@nas:", "/dev/sda1", ":/", "//"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if got := host(s); len(got) > 4*len(s) {
			t.Errorf("%q of %q", got, s)
		}
	})
}
