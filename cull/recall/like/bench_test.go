//go:build unix

package like

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"syscall"
	"testing"
	"time"

	"garner/preview/jpeg"
	"garner/testdata/testneed"
)

// The figures of an index of 2,000,000 frames: building it, and a question when the file
// is in memory already, on all cores and on one.
//
//	go test ./cull/recall/like -run '^$' -bench Index -benchtime 5x
func BenchmarkIndex(b *testing.B) {
	rows := number("GARNER_LOOKS", 2_000_000)
	path := filepath.Join(b.TempDir(), "looks")
	some := looksOf(50_000)
	began, used := time.Now(), cpuTime()
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	if _, err := Build(f, func(yield func(Row) bool) {
		for i := range rows {
			r := some[i%len(some)]
			for k := range r.Look.Parts {
				r.Look.Parts[k] ^= uint64(i) * 0x9e3779b97f4a7c15
			}
			if !yield(r) {
				return
			}
		}
	}); err != nil {
		b.Fatal(err)
	}
	info, err := f.Stat()
	if err != nil {
		b.Fatal(err)
	}
	b.Logf("%d frames: built in %v (%v of processor time), %d MB", rows, time.Since(began).Round(time.Millisecond), cpuTime()-used, info.Size()/1e6)
	src, err := os.ReadFile(filepath.Join(testneed.Samples(b), "photos", "group3.jpg"))
	if err != nil {
		b.Fatal(err)
	}
	m, err := jpeg.Decode(src, jpeg.Options{Scale: 2})
	if err != nil {
		b.Fatal(err)
	}
	p, err := NewPicture(m)
	if err != nil {
		b.Fatal(err)
	}
	g, err := p.guess(shapeOf(1.5))
	if err != nil {
		b.Fatal(err)
	}
	b.Logf("the picture and %d ways to cut borders off it; at most %d crops tried out first of %d", len(p.cuts)-1, groupSize*len(g.groups), len(g.queries[0].Crops()))
	for _, cores := range []int{2, 1} {
		b.Run(fmt.Sprintf("cores=%d", cores), func(b *testing.B) {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
			used := cpuTime()
			for range b.N {
				ask(b, f, info.Size(), m)
			}
			b.ReportMetric(float64((cpuTime()-used).Milliseconds())/float64(b.N), "cpu-ms/op")
			var s runtime.MemStats
			runtime.ReadMemStats(&s)
			b.ReportMetric(float64(s.HeapSys-s.HeapReleased)/1e6, "heap-MB")
			debug.FreeOSMemory()
		})
	}
}

func ask(b *testing.B, f *os.File, size int64, m *jpeg.Image) {
	c, err := Open(f, size)
	if err != nil {
		b.Fatal(err)
	}
	p, err := NewPicture(m)
	if err != nil {
		b.Fatal(err)
	}
	if _, err := c.Find(b.Context(), p, 20); err != nil {
		b.Fatal(err)
	}
}

// cpuTime is what the program has used of all cores.
func cpuTime() time.Duration {
	var use syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &use) != nil {
		return 0
	}
	return time.Duration(use.Utime.Nano() + use.Stime.Nano())
}
