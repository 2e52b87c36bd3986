package copy_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
	"garner/testdata/testfat"
	"garner/testdata/testneed"
)

// cutting counts the operations on a file system and cuts the power before one.
type cutting struct {
	vfs.FS
	left *atomic.Int64
}

type cuttingFile struct {
	vfs.File
	left *atomic.Int64
}

func tick(left *atomic.Int64) {
	if left.Add(-1) == 0 {
		testfat.CutPower()
	}
}

func (c cutting) OpenFile(name string, flag int, perm fs.FileMode) (vfs.File, error) {
	tick(c.left)
	f, err := c.FS.OpenFile(name, flag, perm)
	if err == nil {
		f = cuttingFile{f, c.left}
	}
	return f, err
}

func (c cutting) RenameNew(from, to string) error {
	tick(c.left)
	return c.FS.RenameNew(from, to)
}

func (c cutting) Mkdir(name string, perm fs.FileMode) error {
	tick(c.left)
	return c.FS.Mkdir(name, perm)
}

func (c cutting) SyncDir(name string) error {
	tick(c.left)
	return c.FS.SyncDir(name)
}

func (f cuttingFile) Write(p []byte) (int, error) {
	tick(f.left)
	return f.File.Write(p)
}

func (f cuttingFile) Sync() error {
	tick(f.left)
	return f.File.Sync()
}

func (f cuttingFile) Close() error {
	tick(f.left)
	return f.File.Close()
}

// powerFile is the content of the file of that name: known without a record.
func powerFile(name string) []byte {
	n, _ := strconv.Atoi(strings.TrimLeft(strings.TrimPrefix(filepath.Base(name), "F"), "0"))
	return content(150_000 + n)
}

// TestInsideCut is what runs in the kernel: it looks at what the last power cut
// has left, and copies until the next. Of what was promised there is a record
// outside, which no power cut touches.
func TestInsideCut(t *testing.T) {
	if !testfat.Inside() || os.Getenv("GARNER_CUT_RECORD") == "" {
		t.Skip("runs inside of TestPowerCuts")
	}
	testfat.MountDisk(t, os.Getenv("GARNER_CUT_FS"), "/mnt/disk")
	record, err := os.OpenFile(os.Getenv("GARNER_CUT_RECORD"), os.O_RDWR|os.O_APPEND, 0)
	if err != nil {
		t.Fatal(err)
	}
	promised, err := os.ReadFile(record.Name())
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range strings.Fields(string(promised)) {
		if b, err := os.ReadFile(path); err != nil || !bytes.Equal(b, powerFile(path)) {
			t.Errorf("promised and lost: %s, %d bytes, %v", path, len(b), err)
		}
	}
	for _, dir := range []string{"/mnt/disk/A", "/mnt/disk/B"} {
		entries, err := os.ReadDir(dir)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			t.Error(err)
		}
		for _, e := range entries {
			path := filepath.Join(dir, e.Name())
			if store.IsPartial(e.Name()) || strings.Contains(e.Name(), "~") { // the short name of a partial whose long one is not on the disk
				continue
			}
			if b, err := os.ReadFile(path); err != nil || !bytes.Equal(b, powerFile(path)) {
				t.Errorf("half a file: %s, %d bytes, %v", path, len(b), err)
			}
		}
		if _, err := vfs.Sweep(vfs.OS{}, dir); err != nil {
			t.Error(err)
		}
	}
	if t.Failed() {
		return
	}
	n, err := strconv.ParseInt(os.Getenv("GARNER_CUT_AT"), 10, 64)
	if err != nil || n == 0 {
		return // only to look
	}
	var left atomic.Int64
	left.Store(n)
	var fsys vfs.FS = cutting{vfs.OS{}, &left}
	if os.Getenv("GARNER_CUT_LAZY") != "" {
		fsys = vfstest.Lazy{FS: fsys, File: true, Folder: true}
	}
	begin, _ := strconv.Atoi(os.Getenv("GARNER_CUT_FROM"))
	var next atomic.Int64
	next.Store(int64(begin))
	var all sync.WaitGroup
	for range 2 {
		all.Go(func() {
			for next.Load() < int64(begin)+1000 {
				name := fmt.Sprintf("F%06d", next.Add(1))
				src := filepath.Join("/mnt", name)
				if err := os.WriteFile(src, powerFile(name), 0o644); err != nil {
					t.Error(err)
					return
				}
				job := copy.Job{Source: src, Dests: []string{"/mnt/disk/A/" + name, "/mnt/disk/B/" + name}}
				if _, err := copy.File(context.Background(), fsys, job); err != nil {
					t.Error(err)
					return
				}
				fmt.Fprintf(record, "%s\n%s\n", job.Dests[0], job.Dests[1])
				os.Remove(src)
			}
		})
	}
	all.Wait()
	t.Error("the power was not cut")
}

// powerCuts cuts the power that many times, at random operations, on one disk,
// and returns how many targets were promised and what was found wrong.
func powerCuts(t *testing.T, fsType string, mkfs []string, cuts int, isLazy bool) (promised int, wrong string) {
	dir := t.TempDir()
	disk, record := filepath.Join(dir, "disk"), filepath.Join(dir, "record")
	for _, f := range []string{disk, record} {
		if err := os.WriteFile(f, nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Truncate(disk, 64<<20); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(testneed.Tool(t, mkfs[0]), append(mkfs[1:], disk)...).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	for i := range cuts + 1 {
		at := 40 + rng.IntN(200)
		if i == cuts {
			at = 0
		}
		m := testfat.Machine{Disk: disk, Env: []string{
			"GARNER_CUT_FS=" + fsType, "GARNER_CUT_RECORD=" + record, fmt.Sprintf("GARNER_CUT_AT=%d", at), fmt.Sprintf("GARNER_CUT_FROM=%d", 1000*i),
		}}
		if isLazy {
			m.Env = append(m.Env, "GARNER_CUT_LAZY=1")
		}
		out := m.Run(t, "^TestInsideCut$")
		if strings.Contains(out, "exit status") == (at > 0) || strings.Contains(out, "FAIL") {
			wrong = out
			break
		}
	}
	b, err := os.ReadFile(record)
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Count(b, []byte("\n")), wrong
}

// The power of a real Linux is cut while it copies to ext4 and FAT32: whatever
// was reported as copied is there afterwards, whole, and no final name leads to
// less. Without the syncs, the same test finds losses.
func TestPowerCuts(t *testing.T) {
	if testing.Short() || testfat.Inside() {
		t.Skip("starts kernels: half a minute")
	}
	cuts := 2
	if n, err := strconv.Atoi(os.Getenv("GARNER_KILL_ROUNDS")); err == nil {
		cuts = min(n, 50)
	}
	for _, c := range []struct {
		fsType string
		mkfs   []string
	}{
		{"ext4", []string{"mkfs.ext4", "-q", "-F"}},
		{"vfat", []string{"mkfs.fat", "-F", "32", "-s", "1"}},
	} {
		t.Run(c.fsType, func(t *testing.T) {
			promised, wrong := powerCuts(t, c.fsType, c.mkfs, cuts, false)
			if wrong != "" || promised == 0 {
				t.Errorf("after %d promises:\n%s", promised, wrong)
			}
			t.Logf("%d cuts, %d targets promised", cuts, promised)
		})
		t.Run(c.fsType+" without syncs", func(t *testing.T) {
			if promised, wrong := powerCuts(t, c.fsType, c.mkfs, 1, true); !strings.Contains(wrong, "promised and lost") {
				t.Errorf("of %d promises none was found broken: the test shows nothing\n%s", promised, wrong)
			}
		})
	}
}
