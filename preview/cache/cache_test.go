package cache

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

var roomy = Options{MaxMemory: 0, MaxDisk: 1 << 30} // nothing in memory: every Get reads the disk

// body is what is kept under a key in these tests: different for each key.
func body(key string, n int) []byte {
	b := bytes.Repeat([]byte(key+"."), n/(len(key)+1)+1)
	return b[:n]
}

func TestThumbsAndRenditionsComeBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not there yet")
	c := Open(dir, roomy)
	if _, ok := c.Thumb("a"); ok {
		t.Fatal("a hit in an empty cache")
	}
	for i := range 50 {
		key := fmt.Sprint("key", i)
		if err := c.PutThumb(key, body(key, i*37)); err != nil {
			t.Fatal(err)
		}
		if err := c.PutRendition(key, body(key, i*91)); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.PutThumb("key7", []byte("newer")); err != nil {
		t.Fatal(err)
	}
	if err := c.PutRendition("key7", []byte("newer too")); err != nil {
		t.Fatal(err)
	}
	check := func(c *Cache) {
		t.Helper()
		for i := range 50 {
			key := fmt.Sprint("key", i)
			thumb, rendition := body(key, i*37), body(key, i*91)
			if i == 7 {
				thumb, rendition = []byte("newer"), []byte("newer too")
			}
			if got, ok := c.Thumb(key); !ok || !bytes.Equal(got, thumb) || !c.HasThumb(key) {
				t.Fatalf("thumbnail %s: hit %v, %d bytes", key, ok, len(got))
			}
			if got, ok := c.Rendition(key); !ok || !bytes.Equal(got, rendition) || !c.HasRendition(key) {
				t.Fatalf("rendition %s: hit %v, %d bytes", key, ok, len(got))
			}
		}
	}
	check(c)
	if err := c.Close(); err != nil {
		t.Fatal(err)
	}
	c = Open(dir, roomy)
	check(c)
	if s := c.Stats(); s.Hits != 100 || s.Misses != 0 || s.Bad != 0 {
		t.Errorf("counted %+v", s)
	}
	if err := c.PutThumb("later", []byte("x")); err != nil { // a pack of its own
		t.Fatal(err)
	}
	check(Open(dir, roomy))
	if c.HasThumb("nobody") || c.HasRendition("nobody") {
		t.Error("has what was never put in")
	}
}

func TestNoFolderIsMadeByReading(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "cache")
	c := Open(dir, roomy)
	c.Thumb("a")
	c.Rendition("a")
	c.Refresh()
	if err := c.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the folder is there: %v", err)
	}
}

func TestSideBySide(t *testing.T) {
	dir := t.TempDir()
	a, b := Open(dir, roomy), Open(dir, roomy)
	for i := range 20 {
		for name, c := range map[string]*Cache{"a": a, "b": b} {
			key := fmt.Sprint(name, i)
			if err := c.PutThumb(key, body(key, 100)); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, ok := a.Thumb("b3"); ok {
		t.Error("found before it was looked for")
	}
	a.Refresh()
	for i := range 20 {
		key := fmt.Sprint("b", i)
		if got, ok := a.Thumb(key); !ok || !bytes.Equal(got, body(key, 100)) {
			t.Fatalf("%s of the other program: hit %v", key, ok)
		}
	}
	if err := b.PutThumb("b-late", []byte("late")); err != nil {
		t.Fatal(err)
	}
	a.Refresh()
	if got, ok := a.Thumb("b-late"); !ok || string(got) != "late" {
		t.Errorf("a pack that grew: hit %v", ok)
	}
}

func TestManyAtOnce(t *testing.T) {
	c := Open(t.TempDir(), Options{MaxMemory: 4 << 10, MaxDisk: 1 << 20})
	var wg sync.WaitGroup
	for g := range 4 {
		wg.Go(func() {
			for i := range 200 {
				key := fmt.Sprint(i % 50)
				if got, ok := c.Thumb(key); ok && !bytes.Equal(got, body(key, 300)) {
					t.Errorf("%s holds another entry", key)
				}
				if i%4 == g {
					if err := c.PutThumb(key, body(key, 300)); err != nil {
						t.Error(err)
					}
					if err := c.PutRendition(key, body(key, 300)); err != nil {
						t.Error(err)
					}
				}
			}
		})
	}
	wg.Wait()
}

func TestLimit(t *testing.T) {
	for free, want := range map[int64]int64{-1: 0, 0: 0, 100: 10, 50 << 30: 5 << 30, 80 << 30: 8 << 30, 1 << 50: 8 << 30} {
		if got := Limit(free); got != want {
			t.Errorf("%d free: %d, want %d", free, got, want)
		}
	}
}

func TestRefusedKeys(t *testing.T) {
	c := Open(t.TempDir(), roomy)
	for _, key := range []string{"", string(make([]byte, maxKey+1))} {
		if c.PutThumb(key, nil) == nil || c.PutRendition(key, nil) == nil {
			t.Errorf("a key of %d bytes was taken", len(key))
		}
	}
	if err := c.PutThumb(string(make([]byte, maxKey)), []byte("x")); err != nil {
		t.Error(err)
	}
}

func TestKeysDiffer(t *testing.T) {
	text := rapid.StringOfN(rapid.SampledFrom([]rune{'a', '"', ' ', '\\', '1', 0, '\n'}), 0, 4, -1)
	key := rapid.Custom(func(t *rapid.T) Key {
		n := rapid.IntRange(-1, 12)
		return Key{text.Draw(t, "frame"), text.Draw(t, "place"), n.Draw(t, "o"), n.Draw(t, "size"), n.Draw(t, "codec")}
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := key.Draw(t, "a"), key.Draw(t, "b")
		if (a == b) != (a.String() == b.String()) {
			t.Fatalf("%q and %q", a.String(), b.String())
		}
	})
}

// A cache whose disk was taken away must not come to life again in the folder
// where it had been mounted.
func TestNothingIsMadeAboveTheCache(t *testing.T) {
	gone := filepath.Join(t.TempDir(), "job", ".garner", "cache")
	c := Open(gone, Options{MaxDisk: 1 << 20, MaxMemory: 1 << 20})
	if err := c.PutThumb("k", []byte("thumb")); err == nil {
		t.Error("a thumbnail went onto a disk that is not there")
	}
	if err := c.PutRendition("k", []byte("rendition")); err == nil {
		t.Error("a rendition went onto a disk that is not there")
	}
	if _, err := os.Stat(filepath.Dir(filepath.Dir(gone))); !os.IsNotExist(err) {
		t.Errorf("the folder above was made: %v", err)
	}
}
