package catalog

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// good is a small sound file: a branch with two leaves under the root, one
// bucket with a page, one inline, one nested, a free page.
func good() *builder {
	b := newBuilder(10)
	b.freelist(2, 9)
	b.leaf(3,
		element{"evidence", inline(), true},
		element{"frames", bucket(4), true},
		element{"meta", inline(record("meta", "schema", "\x02")), true},
		element{"state", bucket(7), true},
	)
	b.branch(4, map[string]int{"a": 5, "m": 6}, "a", "m")
	b.leaf(5, record("frames", "a", "1"), record("frames", "b", "2"))
	b.leaf(6, record("frames", "m", "3"))
	b.leaf(7, element{"keep", bucket(8), true})
	b.leaf(8, record("state/keep", "x", "4"))
	return b
}

func examined(b []byte) error { return examineReader(bytes.NewReader(b), int64(len(b))) }

func TestBuiltFileIsSound(t *testing.T) {
	b := good().bytes()
	if err := examined(b); err != nil {
		t.Fatal(err)
	}
	// bbolt agrees that the builder builds what it reads.
	path := filepath.Join(t.TempDir(), "built.db")
	if err := os.WriteFile(path, b, 0o666); err != nil {
		t.Fatal(err)
	}
	for _, p := range boltCheck(path) {
		t.Error(p)
	}
}

// Each of these would crash, mislead or hang a reader that trusts the file.
func TestMalformed(t *testing.T) {
	le := binary.LittleEndian
	for _, c := range []struct {
		name  string
		spoil func(*builder)
		want  string // part of the error
	}{
		{"root outside the file", func(b *builder) { b.root = 10 }, "page 10: there is no such page"},
		{"root far outside", func(b *builder) { b.root = 1 << 63 }, "there is no such page"},
		{"root is a meta page", func(b *builder) { b.root = 1 }, "there is no such page"},
		{"a page with another's number", func(b *builder) { le.PutUint64(b.pages[5], 6) }, "page 5: it calls itself page 6"},
		{"overflow past the end", func(b *builder) { le.PutUint32(b.pages[6][12:], 4) }, "page 6: it runs past the end"},
		{"overflow that overflows", func(b *builder) { le.PutUint32(b.pages[6][12:], 0xffffffff) }, "it runs past the end"},
		{"overflow over a neighbour", func(b *builder) { le.PutUint32(b.pages[5][12:], 1) }, "it is used twice"},
		{"a branch that leads to itself", func(b *builder) { b.branch(4, map[string]int{"a": 4, "m": 6}, "a", "m") }, "page 4: it is used twice"},
		{"a bucket that leads to its parent", func(b *builder) { b.leaf(7, element{"keep", bucket(3), true}) }, "page 3: it is used twice"},
		{"two branches to one leaf", func(b *builder) { b.branch(4, map[string]int{"a": 5, "m": 5}, "a", "m") }, "page 5: it is used twice"},
		{"an empty branch", func(b *builder) { b.branch(4, nil) }, "page 4: it has 0 elements"},
		{"a branch with more elements than fit", func(b *builder) { le.PutUint16(b.pages[4][10:], 64) }, "page 4: it has 64 elements"},
		{"a leaf with more elements than fit", func(b *builder) { le.PutUint16(b.pages[5][10:], 0xffff) }, "page 5: it has 65535 elements"},
		{"a branch key outside", func(b *builder) { le.PutUint32(b.pages[4][16:], 2000) }, "a key lies outside"},
		{"a branch key over the elements", func(b *builder) { le.PutUint32(b.pages[4][16:], 0) }, "a key lies outside"},
		{"a leaf key outside", func(b *builder) { le.PutUint32(b.pages[5][20:], 2000) }, "element 0 is broken"},
		{"a leaf key that wraps", func(b *builder) { le.PutUint32(b.pages[5][24:], 0xfffffff0) }, "element 0 is broken"},
		{"a value outside", func(b *builder) { le.PutUint32(b.pages[5][28:], 2000) }, "element 0 is broken"},
		{"an element of unknown kind", func(b *builder) { le.PutUint32(b.pages[5][16:], 2) }, "element 0 is broken"},
		{"a page of unknown kind", func(b *builder) { le.PutUint16(b.pages[5][8:], 3) }, "of kind 0x3"},
		{"a freelist as a leaf", func(b *builder) { b.branch(4, map[string]int{"a": 5, "m": 2}, "a", "m") }, "of kind 0x10"},
		{"keys out of order", func(b *builder) { b.leaf(5, record("frames", "b", "2"), record("frames", "a", "1")) }, "page 5: its keys are out of order"},
		{"a key twice", func(b *builder) { b.leaf(5, record("frames", "a", "2"), record("frames", "a", "1")) }, "out of order"},
		{"branch keys out of order", func(b *builder) { b.branch(4, map[string]int{"a": 5, "m": 6}, "m", "a") }, "page 4: its keys are out of order"},
		{"a key before its branch", func(b *builder) { b.leaf(6, record("frames", "b2", "3")) }, "page 6: its keys belong elsewhere"},
		{"a key behind its branch", func(b *builder) { b.leaf(5, record("frames", "z", "3")) }, "page 5: its keys belong elsewhere"},
		{"a bucket too short", func(b *builder) { b.leaf(7, element{"keep", "short", true}) }, "bucket keep is broken"},
		{"an inline bucket without a page", func(b *builder) { b.leaf(7, element{"keep", bucket(0) + "x", true}) }, "bucket keep is broken"},
		{"a bucket inside an inline bucket", func(b *builder) { b.leaf(7, element{"keep", inline(element{"k", bucket(8), true}), true}) }, "element 0 is broken"},
		{"the freelist outside", func(b *builder) { b.free = 77 }, "page 77: there is no such page"},
		{"the freelist is a leaf", func(b *builder) { b.leaf(2) }, "not the list of free pages"},
		{"a free page in use", func(b *builder) { b.freelist(2, 5) }, "page 5 is listed as free"},
		{"a free page twice", func(b *builder) { b.freelist(2, 9, 9) }, "page 9 is listed as free"},
		{"a free page outside", func(b *builder) { b.freelist(2, 1<<40) }, "is listed as free"},
		{"a meta page as free", func(b *builder) { b.freelist(2, 0) }, "page 0 is listed as free"},
		{"more free pages than fit", func(b *builder) { le.PutUint16(b.pages[2][10:], 5000) }, "it lists 5000 free pages"},
		{"a large count of free pages", func(b *builder) {
			le.PutUint16(b.pages[2][10:], 0xffff)
			le.PutUint64(b.pages[2][16:], 1<<62)
		}, fmt.Sprintf("it lists %d free pages", int64(1)<<62)},
		{"a record without a seal", func(b *builder) { b.leaf(6, element{"m", "abc", false}) }, "record frames/m: the record is cut short"},
		{"a record of another bucket", func(b *builder) { b.leaf(6, record("paths", "m", "3")) }, "record frames/m: the record's checksum is wrong"},
		{"a record in no bucket", func(b *builder) { b.leaf(3, record("", "x", "1")) }, "record x: it is in no bucket of ours"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := good()
			c.spoil(b)
			err := examined(b.bytes())
			if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v, want %q", err, c.want)
			}
		})
	}
}

func TestBucketsNestedTooDeeply(t *testing.T) {
	b := newBuilder(40)
	b.freelist(2)
	for id := 3; id < 39; id++ {
		b.leaf(id, element{"b", bucket(id + 1), true})
	}
	b.leaf(39)
	if err := examined(b.bytes()); !errors.Is(err, ErrDamaged) {
		t.Errorf("%v", err)
	}
}

func TestTreeTooDeep(t *testing.T) {
	const depth = 200
	b := newBuilder(depth + 5)
	b.freelist(2)
	for id := 3; id < depth+3; id++ {
		b.branch(id, map[string]int{"a": id + 1}, "a")
	}
	b.leaf(depth+3, element{"a", inline(), true})
	if err := examined(b.bytes()); err == nil || !strings.Contains(err.Error(), "too deep") {
		t.Errorf("%v", err)
	}
}

func TestMetaPages(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func([]byte) []byte
		want  string // "" = sound
		size  int64  // page size that is found all the same
	}{
		{"both", func(b []byte) []byte { return b }, "", buildSize},
		{"the first overwritten", func(b []byte) []byte { clear(b[:buildSize]); return b }, "meta page at 0: it is broken", buildSize},
		{"the second overwritten", func(b []byte) []byte { clear(b[buildSize : 2*buildSize]); return b }, "meta page at 1024: it is broken", buildSize},
		{"none", func(b []byte) []byte { clear(b[:2*buildSize]); return b }, "does not begin like a catalogue", 0},
		{"a wrong number", func(b []byte) []byte { b[0] = 1; return b }, "calls itself page 1", buildSize},
		{"cut behind the metas", func(b []byte) []byte { return b[:2*buildSize] }, "cut off: 2048 bytes, 10 pages", buildSize},
		{"cut in the second", func(b []byte) []byte { return b[:buildSize+10] }, "cut off", buildSize},
		{"cut in the first", func(b []byte) []byte { return b[:20] }, "does not begin like a catalogue", 0},
		{"a page size that is no power of two", func(b []byte) []byte {
			good().meta(b, 0, 1000, 0)
			good().meta(b[buildSize:], 1, 1000, 1)
			return b
		}, "does not begin like a catalogue", 0},
		{"a page size of nothing", func(b []byte) []byte { good().meta(b, 0, 0, 0); return b }, "meta page at 0", buildSize},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := c.spoil(good().bytes())
			m, err := readMeta(bytes.NewReader(b), int64(len(b)))
			if c.want == "" && err != nil || c.want != "" && (!errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), c.want)) {
				t.Errorf("%v, want %q", err, c.want)
			}
			if m.pageSize != c.size {
				t.Errorf("page size %d, want %d", m.pageSize, c.size)
			}
		})
	}
	// The newer of two sound ones counts.
	b := good().bytes()
	good().meta(b, 0, buildSize, 8)
	if m, err := readMeta(bytes.NewReader(b), int64(len(b))); err != nil || m.txid != 8 {
		t.Errorf("transaction %d, %v", m.txid, err)
	}
}

// A lenient walk finds what lies beside the damage.
func TestLenientWalk(t *testing.T) {
	b := good()
	binary.LittleEndian.PutUint64(b.pages[5], 6) // frames a and b are lost
	path := filepath.Join(t.TempDir(), "built.db")
	if err := os.WriteFile(path, b.bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	var found []string
	err := salvage(path, func(path []string, key, _ []byte) error {
		found = append(found, place(path)+"/"+string(key))
		return nil
	})
	if want := "[frames/m meta/schema state/keep/x]"; err != nil || fmt.Sprint(found) != want {
		t.Errorf("%v, %v, want %s", found, err, want)
	}
}

// A meta page that is sound in itself but speaks of more pages than any file
// has: nothing may be sized by that number.
func TestSalvageOfAFileThatClaimsTooMuch(t *testing.T) {
	b := good()
	file := b.bytes()
	b.n = 1 << 50
	b.meta(file, 0, buildSize, 8)
	b.meta(file[buildSize:], 1, buildSize, 9)
	path := filepath.Join(t.TempDir(), "built.db")
	if err := os.WriteFile(path, file, 0o666); err != nil {
		t.Fatal(err)
	}
	found := 0
	if err := salvage(path, func([]string, []byte, []byte) error { found++; return nil }); err != nil || found != 5 {
		t.Errorf("%d records, %v", found, err)
	}
	if err := examined(file); !errors.Is(err, ErrDamaged) {
		t.Errorf("%v", err)
	}
}
