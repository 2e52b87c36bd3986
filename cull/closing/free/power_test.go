package free

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"testing"

	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

// memFolder is a folder of a file system in memory.
type memFolder struct {
	*vfstest.Mem
	dir string
}

func (f memFolder) Lstat(name string) (fs.FileInfo, error) { return f.Mem.Lstat(f.dir + "/" + name) }
func (f memFolder) Rename(from, to string) error {
	return f.Mem.Rename(f.dir+"/"+from, f.dir+"/"+to)
}
func (f memFolder) Link(string, string) error { return fs.ErrInvalid } // as on FAT
func (f memFolder) Remove(name string) error  { return f.Mem.Remove(f.dir + "/" + name) }
func (f memFolder) Close() error              { return nil }
func (f memFolder) Open(name string) (vfs.File, error) {
	file, err := f.Mem.Open(f.dir + "/" + name)
	return oneName{file}, err
}

// oneName is a file of which is known that it has no other name.
type oneName struct{ vfs.File }

func (oneName) Links() (int, bool) { return 1, true }

// noted writes the journal of a job in memory, durably.
func noted(m *vfstest.Mem) error {
	f, err := m.OpenFile("job/journal", os.O_WRONLY|os.O_CREATE, 0o666)
	if err != nil {
		return err
	}
	if _, err = f.Write([]byte("freed")); err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = m.SyncDir("job")
	}
	return err
}

// The power fails before each operation of a removal: whatever of it got to the disk,
// the original is there, or the journal and the small picture are, whole.
func TestPowerLoss(t *testing.T) {
	original, picture := bytes.Repeat([]byte("original"), 4000), bytes.Repeat([]byte("small"), 3000)
	for _, fat := range []bool{false, true} {
		ended, states, without := false, 0, 0
		for n := 0; !ended; n++ {
			m := vfstest.New(vfstest.Options{FAT: fat})
			m.Put("job/A/IMG_0001.CR3", original)
			m.PowerOffAfter(n)
			_, err := removed(m, picture)
			ended = err == nil
			for seed := range uint64(12) {
				c := m.CrashClone(rand.New(rand.NewPCG(seed, uint64(n))))
				is, there := c.Get("job/A/IMG_0001.CR3")
				aside, lies := c.Get("job/A/" + asideName("IMG_0001.CR3"))
				switch {
				case there && !bytes.Equal(is, original), lies && !bytes.Equal(aside, original):
					t.Fatalf("operation %d: another file stands in its place", n)
				case there || lies:
					continue
				}
				without++
				journal, _ := c.Get("job/journal")
				small, _ := c.Get("job/small/A/IMG_0001.CR3.jpg")
				if string(journal) != "freed" || !bytes.Equal(small, picture) {
					t.Fatalf("operation %d: the original is gone, the journal says %q and the small picture has %d bytes", n, journal, len(small))
				}
			}
			states += 12
			if n > 200 {
				t.Fatal("it never ends")
			}
		}
		if without == 0 || states < 200 {
			t.Errorf("%d disks, %d of them without the original: nothing was tested", states, without)
		}
	}
}

func removed(m *vfstest.Mem, picture []byte) (Why, error) {
	h, err := hold(memFolder{m, "job/A"}, "IMG_0001.CR3", "A/IMG_0001.CR3")
	if err != nil {
		return Unread, err
	}
	defer h.close()
	if _, err := h.sum(context.Background()); err != nil {
		return Unread, err
	}
	return letGo(&room{m, "job", map[string]bool{}}, h, picture, func() error { return noted(m) })
}

// Each operation of a removal fails, once and for ever: the original has its name, or
// what stands for it is there.
func TestFaults(t *testing.T) {
	original, picture := bytes.Repeat([]byte("original"), 4000), bytes.Repeat([]byte("small"), 3000)
	count := func() int {
		m := vfstest.New(vfstest.Options{})
		m.Put("job/A/IMG_0001.CR3", original)
		_, err := removed(m, picture)
		must(t, err)
		return m.Count("")
	}()
	failures := 0
	for _, stay := range []bool{false, true} {
		for n := 1; n <= count; n++ {
			m := vfstest.New(vfstest.Options{})
			m.Put("job/A/IMG_0001.CR3", original)
			m.Inject(vfstest.Fault{N: n, Stay: stay, Err: fmt.Errorf("fault %d", n)})
			_, err := removed(m, picture)
			is, there := m.Get("job/A/IMG_0001.CR3")
			aside, lies := m.Get("job/A/" + asideName("IMG_0001.CR3"))
			small, _ := m.Get("job/small/A/IMG_0001.CR3.jpg")
			journal, _ := m.Get("job/journal")
			whole := bytes.Equal(small, picture) && string(journal) == "freed"
			switch {
			case err != nil && !there && !(stay && lies && bytes.Equal(aside, original)):
				t.Errorf("fault %d (%v): %v, and the original is not there", n, stay, err)
			case err == nil && (there || lies || !whole):
				t.Errorf("fault %d (%v): it is said to be freed", n, stay)
			case there && sha256.Sum256(is) != sha256.Sum256(original):
				t.Errorf("fault %d (%v): another file", n, stay)
			}
			if err != nil {
				failures++
			}
		}
	}
	if failures < count {
		t.Errorf("only %d of %d faults were felt", failures, 2*count)
	}
}
