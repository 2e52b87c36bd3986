package cache

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// taken returns what the files of a folder hold.
func taken(t *testing.T, dir string) int64 {
	t.Helper()
	sum := int64(0)
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		sum += info.Size()
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return sum
}

func TestTheOldestGoFirst(t *testing.T) {
	dir := t.TempDir()
	one := int64(len(encode("r0", make([]byte, 1000))))
	o := Options{MaxDisk: 5*one + 1}
	c := Open(dir, o)
	for i := range 8 {
		if err := c.PutRendition(fmt.Sprint("r", i), make([]byte, 1000)); err != nil {
			t.Fatal(err)
		}
		if got := taken(t, dir); got > o.MaxDisk {
			t.Fatalf("%d bytes on the disk, the limit is %d", got, o.MaxDisk)
		}
	}
	for i := range 8 {
		if got := c.HasRendition(fmt.Sprint("r", i)); got != (i >= 3) {
			t.Errorf("r%d is there: %v", i, got)
		}
	}
	if s := c.Stats(); s.Evicted != 3 {
		t.Errorf("counted %+v", s)
	}

	// A later program goes by the times of the files.
	old := filepath.Join(dir, renditionName("r6"))
	if err := os.Chtimes(old, time.Unix(1, 0), time.Unix(1, 0)); err != nil {
		t.Fatal(err)
	}
	c = Open(dir, o)
	if err := c.PutRendition("r8", make([]byte, 1000)); err != nil {
		t.Fatal(err)
	}
	if c.HasRendition("r6") || !c.HasRendition("r3") {
		t.Error("not the oldest file went")
	}
}

func TestPacksGoWhole(t *testing.T) {
	dir := t.TempDir()
	c := Open(dir, Options{MaxDisk: 10_000})
	for i := range 40 {
		if i%5 == 0 {
			c.Close() // five entries a pack
		}
		key := fmt.Sprintf("k%02d", i)
		if err := c.PutThumb(key, body(key, 1000)); err != nil {
			t.Fatal(err)
		}
		if got := taken(t, dir); got > 10_000 {
			t.Fatalf("%d bytes on the disk", got)
		}
		if !c.HasThumb(key) {
			t.Fatalf("%s is not there", key)
		}
	}
	kept := 0
	for i := range 40 {
		key := fmt.Sprintf("k%02d", i)
		if _, ok := c.Thumb(key); ok {
			kept++
		} else if i >= 35 {
			t.Errorf("%s, one of the newest, is gone", key)
		}
	}
	if kept < 5 || kept > 9 {
		t.Errorf("%d thumbnails are kept", kept)
	}
}

func TestNoRoomAtAll(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "cache")
	c := Open(dir, Options{MaxMemory: 1 << 20})
	if err := c.PutThumb("a", []byte("b")); err != nil {
		t.Fatal(err)
	}
	if err := c.PutRendition("r", []byte("b")); err != nil {
		t.Fatal(err)
	}
	if got, ok := c.Thumb("a"); !ok || string(got) != "b" {
		t.Error("not in memory")
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("something was written")
	}
}

// The memory against a plain model: what it gives is what was put in last, and
// its bound holds.
func TestMemory(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		limit := int64(rapid.IntRange(0, 3000).Draw(t, "limit"))
		m, model := newMemory(limit), map[string]string{}
		for range rapid.IntRange(1, 60).Draw(t, "steps") {
			key := fmt.Sprint(rapid.IntRange(0, 9).Draw(t, "key"))
			if rapid.Bool().Draw(t, "put") {
				v := string(make([]byte, rapid.IntRange(0, 900).Draw(t, "n"))) + key
				m.put(key, []byte(v))
				model[key] = v
				if got, ok := m.get(key); !ok && int64(len(key)+len(v))+overhead <= limit || ok && string(got) != v {
					t.Fatalf("%s was put in and is there: %v", key, ok)
				}
			} else if got, ok := m.get(key); ok && string(got) != model[key] {
				t.Fatalf("%s holds something else", key)
			}
			sum := int64(0)
			for e := m.order.Front(); e != nil; e = e.Next() {
				sum += e.Value.(*held).cost()
			}
			if sum != m.used || sum > limit || len(m.byKey) != m.order.Len() {
				t.Fatalf("counts %d, holds %d of %d", m.used, sum, limit)
			}
		}
	})
}

func TestMemoryLetsTheLeastUsedGo(t *testing.T) {
	m := newMemory(3 * (overhead + 11))
	for _, k := range []string{"a", "b", "c"} {
		m.put(k, make([]byte, 10))
	}
	m.get("a")
	m.put("d", make([]byte, 10))
	for k, want := range map[string]bool{"a": true, "b": false, "c": true, "d": true} {
		if _, ok := m.get(k); ok != want {
			t.Errorf("%s is there: %v", k, ok)
		}
	}
}

func TestAFullPackIsFollowedByAnother(t *testing.T) {
	dir := t.TempDir()
	c := Open(dir, roomy)
	if err := c.PutThumb("a", []byte("first")); err != nil {
		t.Fatal(err)
	}
	c.out.at = maxPack - 10 // as if it were nearly full
	if err := c.PutThumb("b", []byte("second")); err != nil {
		t.Fatal(err)
	}
	if names := packNames(filepath.Join(dir, packFolder)); len(names) != 2 {
		t.Errorf("packs %v", names)
	}
	for _, c := range []*Cache{c, Open(dir, roomy)} {
		for key, want := range map[string]string{"a": "first", "b": "second"} {
			if got, ok := c.Thumb(key); !ok || string(got) != want {
				t.Errorf("%s: %q, %v", key, got, ok)
			}
		}
	}
}

// One program makes room by removing a pack that another is writing. The other
// loses those entries and nothing else, and goes on.
func TestAnotherProgramMakesRoom(t *testing.T) {
	dir := t.TempDir()
	a := Open(dir, Options{MaxDisk: 1 << 20})
	if err := a.PutThumb("a1", body("a1", 3000)); err != nil {
		t.Fatal(err)
	}
	b := Open(dir, Options{MaxDisk: 4000})
	if err := b.PutThumb("b1", body("b1", 3000)); err != nil {
		t.Fatal(err)
	}
	if _, ok := a.Thumb("a1"); ok {
		t.Skip("this system keeps files that are open")
	}
	if err := a.PutThumb("a2", body("a2", 1000)); err != nil {
		t.Fatal(err)
	}
	a.Refresh()
	for _, key := range []string{"a2", "b1"} {
		n := map[string]int{"a2": 1000, "b1": 3000}[key]
		if got, ok := a.Thumb(key); !ok || string(got) != string(body(key, n)) {
			t.Errorf("%s: hit %v", key, ok)
		}
	}
}

// A name that is in use under another content is told by what is inside.
func TestAPackOfAnotherContentUnderAnOldName(t *testing.T) {
	dir := t.TempDir()
	a := Open(dir, roomy)
	for _, key := range []string{"one", "two"} {
		if err := a.PutThumb(key, body(key, 500)); err != nil {
			t.Fatal(err)
		}
	}
	a.Close()
	reader := Open(dir, roomy)
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	b := Open(dir, roomy)
	if err := b.PutThumb("six", body("six", 500)); err != nil { // 00000001.pack again
		t.Fatal(err)
	}
	if got, ok := reader.Thumb("one"); ok {
		t.Fatalf("gave %d bytes of another key", len(got))
	}
	reader.Refresh()
	if got, ok := reader.Thumb("six"); !ok || string(got) != string(body("six", 500)) {
		t.Errorf("the new one: hit %v", ok)
	}
	if _, ok := reader.Thumb("two"); ok {
		t.Error("an entry of the pack that is gone")
	}
}
