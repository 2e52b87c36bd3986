package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"garner/testdata/testjob"
	"garner/testdata/testterm"
)

// smallDisk puts a job on a file system of its own, with so many bytes to spare.
func smallDisk(t *testing.T, options string) (mount, dir string) {
	t.Helper()
	mount = t.TempDir()
	if err := syscall.Mount("garner-test", mount, "tmpfs", 0, options); err != nil {
		t.Skip("needs to be root, to mount a file system of its own: " + err.Error())
	}
	t.Cleanup(func() {
		for range 3 { // nested ones too
			if err := syscall.Unmount(mount, syscall.MNT_DETACH); err != nil {
				return
			}
		}
	})
	dir = filepath.Join(mount, "job")
	if err := os.CopyFS(dir, os.DirFS(testjob.Template(t, stationFrames, true))); err != nil {
		t.Fatal(err)
	}
	return mount, dir
}

// fill takes all room of a disk.
func fill(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for block := 1 << 20; block > 0; block /= 2 {
		for err = nil; err == nil; {
			_, err = f.Write(make([]byte, block))
		}
		if !errors.Is(err, syscall.ENOSPC) {
			t.Fatal(err)
		}
	}
}

// The disk is full: either the decision is kept (there was room in the catalogue)
// or the screen says that it is not, and stops the person. What had been shown
// is there, and when there is room again deciding goes on.
func TestStationOnAFullDisk(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of decisions until the room is used up")
	}
	mount, dir := smallDisk(t, "size=64m")
	r := sitDown(t, dir, testterm.XTerm())
	r.Key("k")
	frameIs(r, 2)
	filler := filepath.Join(mount, "filler")
	fill(t, filler)
	// One step back and forth until there is no room for its entry.
	kept := 1
	for n := 0; ; n++ {
		key, said := "u", "taken back"
		if n%2 == 1 {
			key, said = "r", "done again"
		}
		r.Key(key)
		r.WaitText("went wrong|" + said)
		if strings.Contains(r.Text(), "went wrong") {
			break
		}
		kept = n % 2
		if n > 2000 {
			t.Fatal("a full disk never got in the way")
		}
	}
	text := strings.Join(strings.Fields(r.Text()), " ")
	if !strings.Contains(text, "NOT kept") {
		kept = 1 - kept // in the catalogue though not in journal.txt, as the text says
	}
	if !strings.Contains(text, "disk is full") {
		t.Errorf("the message does not say why:\n%s", text)
	}
	if got := decidedIn(t, dir); len(got) != kept {
		t.Errorf("%d decided on the disk, %d shown", len(got), kept)
	}
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	r.WaitText("Enter")
	wakeAndClose(r)
	r.WaitText(`(keep|merge)\?`)
	r.Key("d")
	r.WaitText("1 dropped")
	leave(t, r)
	if got := decidedIn(t, dir); len(got) != kept+1 && len(got) != 1 {
		t.Errorf("%d decided after there was room again", len(got))
	}
}

// wakeAndClose presses Enter until the dialog, which sleeps while keys are typed,
// has taken it.
func wakeAndClose(r *testterm.Run) {
	r.WaitFor(func(g *testterm.Grid) bool { return !strings.Contains(g.Text(), "waiting until no key is typed") })
	r.Key("enter")
}

// The folder goes away under the station, as a disk that is pulled out: the
// decision that cannot be kept is said, nothing is written where the folder was,
// and what had been shown is there when it comes back.
func TestStationWhenTheFolderGoes(t *testing.T) {
	mount, dir := smallDisk(t, "size=64m")
	r := sitDown(t, dir, testterm.Kitty())
	r.Key("k")
	frameIs(r, 2)
	keep := t.TempDir() // a second way to the disk, for looking afterwards
	if err := syscall.Mount(mount, keep, "", syscall.MS_BIND, ""); err != nil {
		t.Fatal(err)
	}
	defer syscall.Unmount(keep, syscall.MNT_DETACH)
	if err := syscall.Unmount(mount, syscall.MNT_DETACH); err != nil {
		t.Fatal(err)
	}
	r.Key("k")
	r.WaitText("NOT kept")
	wakeAndClose(r)
	r.WaitText(`(keep|merge)\?`)
	r.Key("q")
	r.Exit()
	if err := r.Snapshot().Clean(); err != nil {
		t.Errorf("left behind: %v", err)
	}
	filepath.WalkDir(mount, func(path string, e os.DirEntry, err error) error {
		if path != mount {
			t.Errorf("written where the folder had been: %s", path)
		}
		return nil
	})
	if got := decidedIn(t, filepath.Join(keep, "job")); len(got) != 1 {
		t.Errorf("%d decided on the disk that went, want 1", len(got))
	}
}
