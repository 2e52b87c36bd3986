package copy_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"garner/store/copy"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

// frameSize is about that of a raw file of 24 to 30 million pixels, in bytes.
const frameSize = 28 << 20

// BenchmarkMem is the cost of everything but a disk: handing round, digest,
// read-back with its digest.
func BenchmarkMem(b *testing.B) {
	data := content(frameSize)
	for dests := 1; dests <= 3; dests++ {
		b.Run(fmt.Sprintf("dests=%d", dests), func(b *testing.B) {
			m := vfstest.New(vfstest.Options{})
			m.Put(card, data)
			b.SetBytes(frameSize)
			b.ReportAllocs()
			for b.Loop() {
				job := copy.Job{Source: card}
				for d := range dests {
					job.Dests = append(job.Dests, fmt.Sprintf("/%d/a.CR3", d))
				}
				if _, err := copy.File(context.Background(), m, job); err != nil {
					b.Fatal(err)
				}
				b.StopTimer()
				for _, d := range job.Dests {
					m.Remove(d)
				}
				b.StartTimer()
			}
		})
	}
}

// BenchmarkDisk copies into the folder for temporary files, so it mostly measures
// that disk: two syncs and a read-back past the cache for each target.
func BenchmarkDisk(b *testing.B) {
	dir := b.TempDir()
	src := filepath.Join(dir, "a.CR3")
	if err := os.WriteFile(src, content(frameSize), 0o644); err != nil {
		b.Fatal(err)
	}
	for dests := 1; dests <= 2; dests++ {
		b.Run(fmt.Sprintf("dests=%d", dests), func(b *testing.B) {
			b.SetBytes(frameSize)
			b.ReportAllocs()
			for b.Loop() {
				job := copy.Job{Source: src}
				for d := range dests {
					job.Dests = append(job.Dests, filepath.Join(dir, fmt.Sprint(d), "a.CR3"))
				}
				res, err := copy.File(context.Background(), vfs.OS{}, job)
				if err != nil {
					b.Fatal(err)
				}
				b.StopTimer()
				for _, d := range res.Dests {
					os.Remove(d.Path)
				}
				b.StartTimer()
			}
		})
	}
}
