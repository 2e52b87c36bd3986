// Package testfat gives tests a real FAT32 or exFAT file system: an image made by
// the usual tools, mounted through FUSE, since a test can't count on the kernel
// to know them; or, inside of [Kernel], FAT32 by the driver of Linux itself. It
// needs Linux, root and /dev/fuse; without them, or without the tools, a test is
// skipped in one line.
//
// The FUSE drivers know less than the kernel's. fusefat: names beyond ASCII,
// shortening a file and chmod are refused, a full disk is "operation not
// permitted", free space is not told, and times of modification are accepted but
// not kept. exfat-fuse: no lack is known but that it, as fusefat, has no rename
// that refuses to replace, and gives the two spellings of a name two inode
// numbers.
package testfat

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"garner/store/vfs"
	"garner/testdata/testneed"
)

// Disk is a mounted file system of its own.
type Disk struct {
	Dir  string // where it is mounted
	Kind string // "vfat" or "exfat", as blkid(8) says of the image
	FUSE bool   // the driver is one of FUSE, with its lacks

	image, device string // device is the image, or a loop device over it
	mount         []string
	mountType     string // as /proc/self/mountinfo says
	fsck          []string
	ended         *os.File // ends with the driver
}

// FAT32 returns a new, empty FAT32 file system of that many MiB, at least 33 to
// have the clusters that make it FAT32, mounted by fusefat or by the kernel.
func FAT32(t testing.TB, mib int64) *Disk {
	t.Helper()
	able(t)
	mkfs, fsck := testneed.Tool(t, "mkfs.fat"), testneed.Tool(t, "fsck.fat")
	d := &Disk{Kind: "vfat", fsck: []string{fsck, "-n"}}
	if Inside() {
		d.mountType, d.mount = "vfat", []string{"mount", "-t", "vfat", "-o", "utf8=1,shortname=mixed,flush"} // as desktops do
	} else {
		d.FUSE, d.mountType, d.mount = true, "fuse.fusefat", []string{testneed.Tool(t, "fusefat"), "-o", "rw+"}
	}
	d.make(t, mib, mkfs, "-F", "32", "-s", "1", "-n", "EOS_DIGITAL")
	if Inside() {
		d.loop(t)
	}
	d.begin(t)
	return d
}

// ExFAT returns a new, empty exFAT file system of that many MiB, mounted by
// exfat-fuse over a loop device.
func ExFAT(t testing.TB, mib int64) *Disk {
	t.Helper()
	able(t)
	mkfs, fuse, fsck := testneed.Tool(t, "mkfs.exfat"), testneed.Tool(t, "mount.exfat-fuse"), testneed.Tool(t, "fsck.exfat")
	d := &Disk{Kind: "exfat", FUSE: true, mountType: "fuseblk", mount: []string{fuse}, fsck: []string{fsck, "-n"}}
	d.make(t, mib, mkfs, "-L", "EOS_DIGITAL")
	d.loop(t)
	d.begin(t)
	return d
}

// able skips where nothing can be mounted.
func able(t testing.TB) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("needs to be root to mount a file system")
	}
	if Inside() {
		loadModules(t)
	}
	f, err := os.OpenFile("/dev/fuse", os.O_RDWR, 0)
	if err != nil {
		t.Skipf("needs /dev/fuse: %v", err)
	}
	f.Close()
}

func (d *Disk) make(t testing.TB, mib int64, mkfs ...string) {
	t.Helper()
	dir := t.TempDir()
	d.Dir, d.image = filepath.Join(dir, "mounted"), filepath.Join(dir, "image")
	d.device = d.image
	must(t, os.Mkdir(d.Dir, 0o755))
	must(t, os.WriteFile(d.image, nil, 0o644))
	must(t, os.Truncate(d.image, mib<<20))
	run(t, append(mkfs, d.image)...)
}

// loop puts a block device over the image.
func (d *Disk) loop(t testing.TB) {
	t.Helper()
	out, err := exec.Command(testneed.Tool(t, "losetup"), "--find", "--show", d.image).Output()
	if err != nil {
		t.Skipf("needs a loop device: %v", err)
	}
	d.device = strings.TrimSpace(string(out))
	t.Cleanup(func() { run(t, "losetup", "--detach", d.device) })
}

// begin mounts for the first time and makes sure that it is what the test is
// about: a driver that failed quietly would leave the folder below.
func (d *Disk) begin(t testing.TB) {
	t.Helper()
	if kind := strings.TrimSpace(run(t, "blkid", "--probe", "--output", "value", "--match-tag", "TYPE", d.image)); kind != d.Kind {
		t.Fatalf("the image is %q, not %s", kind, d.Kind)
	}
	if d.Kind == "vfat" {
		if v := strings.TrimSpace(run(t, "blkid", "--probe", "--output", "value", "--match-tag", "VERSION", d.image)); v != "FAT32" {
			t.Fatalf("the image is %q, not FAT32", v)
		}
	}
	t.Cleanup(func() { exec.Command("umount", "--lazy", d.Dir).Run() }) // if a test has not got to its end
	d.up(t)
	t.Cleanup(func() { d.down(t) })
}

// up mounts. The driver goes on in the background; a pipe that it inherits tells
// when it has ended.
func (d *Disk) up(t testing.TB) {
	t.Helper()
	ended, inherited, err := os.Pipe()
	must(t, err)
	cmd := exec.Command(d.mount[0], append(slices.Clone(d.mount[1:]), d.device, d.Dir)...)
	cmd.ExtraFiles = []*os.File{inherited}
	out, err := cmd.CombinedOutput()
	inherited.Close()
	d.ended = ended
	if err != nil {
		t.Fatalf("%s: %v\n%s", strings.Join(cmd.Args, " "), err, out)
	}
	if m, err := vfs.MountOf(d.Dir); err != nil || m.Root != d.Dir || m.Type != d.mountType {
		t.Fatalf("mounted is %+v, %v, not %s", m, err, d.mountType)
	}
}

func (d *Disk) down(t testing.TB) {
	t.Helper()
	run(t, "umount", d.Dir)
	io.Copy(io.Discard, d.ended) // unmounting does not wait for all drivers
	d.ended.Close()
}

// Reinsert takes the file system out and puts it back: what is seen afterwards
// has been on the medium.
func (d *Disk) Reinsert(t testing.TB) {
	t.Helper()
	d.down(t)
	d.up(t)
}

// Protect sets the read-only attribute of a file on the medium, as a body's protect
// key does, and puts the file system back. The name is the file's short one, as it
// stands in its folder: eight and three letters without a dot. (Microsoft, FAT:
// General Overview: DIR_Name at byte 0, DIR_Attr at byte 11, ATTR_READ_ONLY 0x01,
// ATTR_ARCHIVE 0x20.)
func (d *Disk) Protect(t testing.TB, short string) {
	t.Helper()
	d.down(t)
	image, err := os.ReadFile(d.image)
	must(t, err)
	entry := []byte(short + "\x20")
	at := bytes.Index(image, entry)
	if len(short) != 11 || at < 0 || at%32 != 0 || bytes.Contains(image[at+1:], entry) {
		t.Fatalf("no entry, or more than one, is named %q", short)
	}
	f, err := os.OpenFile(d.image, os.O_WRONLY, 0)
	must(t, err)
	_, err = f.WriteAt([]byte{0x21}, int64(at)+11)
	must(t, err)
	must(t, f.Sync())
	must(t, f.Close())
	d.up(t)
}

// Check lets fsck look at the medium and fails where it finds something wrong.
// fusefat does not keep the count of free clusters, which is a hint only
// (Microsoft, FAT: General Overview, FSInfo).
func (d *Disk) Check(t testing.TB) {
	t.Helper()
	d.down(t)
	defer d.up(t)
	out, err := exec.Command(d.fsck[0], append(slices.Clone(d.fsck[1:]), d.image)...).CombinedOutput()
	if err == nil {
		return
	}
	if d.FUSE && d.Kind == "vfat" && freeCount.Match(out) {
		return
	}
	t.Errorf("%s: %v\n%s", strings.Join(d.fsck, " "), err, out)
}

// freeCount is what fsck.fat says where nothing but that count is wrong.
var freeCount = regexp.MustCompile(`^fsck\.fat .*\nFree cluster summary wrong .*\n\s+Auto-correcting\.\n\nLeaving filesystem unchanged\.\n.*clusters\n$`)

func run(t testing.TB, command ...string) string {
	t.Helper()
	out, err := exec.Command(command[0], command[1:]...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", strings.Join(command, " "), err, out)
	}
	return string(out)
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
