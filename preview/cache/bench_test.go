package cache

import (
	"fmt"
	"testing"
)

// filledWith makes a cache of n thumbnails of the usual size.
func filledWith(b *testing.B, n int) string {
	b.Helper()
	dir := b.TempDir()
	c := Open(dir, roomy)
	data := make([]byte, 12_000)
	for i := range n {
		if err := c.PutThumb(Key{Frame: fmt.Sprint(i), Size: 256}.String(), data); err != nil {
			b.Fatal(err)
		}
	}
	c.Close()
	return dir
}

// BenchmarkOpen is the index of 2,000 thumbnails from their packs.
func BenchmarkOpen(b *testing.B) {
	dir := filledWith(b, 2000)
	for b.Loop() {
		if c := Open(dir, roomy); len(c.index) != 2000 {
			b.Fatal(len(c.index))
		}
	}
}

// BenchmarkThumb is one thumbnail from the disk, and from memory.
func BenchmarkThumb(b *testing.B) {
	dir := filledWith(b, 200)
	for name, memory := range map[string]int64{"disk": 0, "memory": 64 << 20} {
		b.Run(name, func(b *testing.B) {
			c := Open(dir, Options{MaxMemory: memory, MaxDisk: 1 << 30})
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if _, ok := c.Thumb(Key{Frame: fmt.Sprint(i % 200), Size: 256}.String()); !ok {
					b.Fatal("a miss")
				}
			}
		})
	}
}
