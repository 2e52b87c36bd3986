package catalog

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// FuzzExamine: whatever bytes a file has, the examination ends with nil or
// ErrDamaged, and never reads more than each page once.
func FuzzExamine(f *testing.F) {
	files, _ := filepath.Glob("testdata/v*.db")
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b, uint32(4096*3+8), byte(1), uint32(4096*4+24), byte(0xff))
	}
	f.Add([]byte{}, uint32(0), byte(0), uint32(0), byte(0))
	f.Fuzz(func(t *testing.T, b []byte, at1 uint32, v1 byte, at2 uint32, v2 byte) {
		b = bytes.Clone(b)
		if len(b) > 0 {
			b[int(at1)%len(b)] ^= v1
			b[int(at2)%len(b)] ^= v2
		}
		r := &counting{r: bytes.NewReader(b)}
		if err := examineReader(r, int64(len(b))); err != nil && !errors.Is(err, ErrDamaged) {
			t.Fatal(err)
		}
		// Each page once, a run once more, and the meta pages.
		if r.n > 2*int64(len(b))+4096 {
			t.Fatalf("%d bytes read of %d", r.n, len(b))
		}
		records := 0
		meta, _ := readMeta(bytes.NewReader(b), int64(len(b)))
		if meta.pageSize == 0 {
			return
		}
		meta.pages = min(meta.pages, uint64(int64(len(b))/meta.pageSize))
		w := &walker{r: bytes.NewReader(b), meta: meta, lenient: func(error) {}, record: func(path []string, key, value []byte) error {
			if len(key)+len(value) > len(b) {
				t.Fatal("a record larger than the file")
			}
			records++
			return nil
		}}
		if err := w.walk(); err != nil {
			t.Fatalf("a lenient walk ended with %v", err)
		}
		if records > len(b)/elementSize {
			t.Fatalf("%d records in %d bytes", records, len(b))
		}
	})
}

type counting struct {
	r *bytes.Reader
	n int64
}

func (c *counting) ReadAt(p []byte, off int64) (int, error) {
	n, err := c.r.ReadAt(p, off)
	c.n += int64(n)
	return n, err
}
