package cache

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// FuzzPack holds the reader of packs to this: it walks forward, inside the
// file, and stops; an entry is given only if writing it again gives the same
// bytes.
func FuzzPack(f *testing.F) {
	whole := append(encode("one", []byte("first")), encode("two", nil)...)
	f.Add(whole)
	f.Add(whole[:len(whole)-1])
	f.Add(append([]byte("grn1"), bytes.Repeat([]byte{0xFF}, 40)...))
	f.Add([]byte{})
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, b []byte) {
		behind := int64(0)
		index := map[string]place{}
		end := scanPack(bytes.NewReader(b), int64(len(b)), 0, func(key string, at, size int64) {
			if at != behind || size < headerSize || at+size > int64(len(b)) {
				t.Fatalf("an entry at %d of %d bytes in a pack of %d", at, size, len(b))
			}
			behind = at + size
			index[key] = place{"x", at, size}
		})
		if end != behind {
			t.Fatalf("ended at %d, the last entry at %d", end, behind)
		}
		for key, at := range index {
			entry := b[at.offset : at.offset+at.size]
			if data, ok := decode(entry, key); ok && !bytes.Equal(encode(key, data), entry) {
				t.Fatal("an entry that encode would not write")
			}
		}

		// The same bytes as files of a cache: no fault, and the same entries.
		if err := os.MkdirAll(filepath.Join(dir, packFolder), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, packFolder, "00000001.pack"), b, 0o666); err != nil {
			t.Fatal(err)
		}
		c := Open(dir, Options{})
		if len(c.index) != len(index) {
			t.Fatalf("%d entries, then %d", len(index), len(c.index))
		}
		for key := range index {
			c.Thumb(key)
		}
	})
}
