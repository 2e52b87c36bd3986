package archive_test

import (
	"crypto/sha256"
	"crypto/sha512"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"garner/store/archive"
	"garner/store/vfs"
)

// frameSize is about that of a raw file of 24 to 30 million pixels, in bytes.
const frameSize = 28 << 20

// BenchmarkDigests is what both checksums cost one core, without a disk: the bound of
// a check is as many times that as it reads files at once.
func BenchmarkDigests(b *testing.B) {
	data := make([]byte, 1<<20)
	w := io.MultiWriter(sha256.New(), sha512.New())
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		w.Write(data)
	}
}

// BenchmarkBag makes a bag of eight frames in two places on the disk of the folder for
// temporary files, and checks one: run it with -cpu 1,2.
func BenchmarkBag(b *testing.B) {
	dir := b.TempDir()
	data := make([]byte, frameSize)
	rand.NewChaCha8([32]byte{1}).Read(data)
	g := archive.Growth{Info: []archive.Field{{Label: "Bagging-Date", Value: "2031-05-03"}}}
	for i := range 8 {
		data[0] = byte(i)
		src := filepath.Join(dir, fmt.Sprintf("%d.CR3", i))
		must(b, os.WriteFile(src, data, 0o666))
		g.Puts = append(g.Puts, archive.Put{Path: fmt.Sprintf("data/job/%d.CR3", i), Source: src})
	}
	bags := 0
	b.Run("Grow", func(b *testing.B) {
		b.SetBytes(8 * frameSize)
		for b.Loop() {
			bags++
			g.Dirs = []string{filepath.Join(dir, fmt.Sprint("one", bags)), filepath.Join(dir, fmt.Sprint("two", bags))}
			_, err := archive.Grow(ctx, vfs.OS{}, g)
			must(b, err)
			b.StopTimer()
			must(b, os.RemoveAll(g.Dirs[1]))
			if bags > 1 {
				must(b, os.RemoveAll(filepath.Join(dir, fmt.Sprint("one", bags-1))))
			}
			b.StartTimer()
		}
	})
	b.Run("Check", func(b *testing.B) {
		b.SetBytes(8 * frameSize)
		for b.Loop() {
			r, err := archive.Check(ctx, vfs.OS{}, g.Dirs[0], nil)
			if err != nil || !r.Valid() || !r.Bypassed {
				b.Fatal(err, r.Findings, r.Bypassed)
			}
		}
	})
}
