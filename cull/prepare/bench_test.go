package prepare

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"garner/cull/job"
	"garner/testdata/testneed"
)

// honestSize is what the sample raw had before its sensor data were cut off, in
// bytes.
const honestSize = 28842901

// wedding fills a folder with copies of a real raw, each with a time of its
// own. The sensor data are a hole: they take no room and are never read.
func wedding(tb testing.TB, n int) string {
	tb.Helper()
	src, err := os.ReadFile(filepath.Join(testneed.Module(tb, "github.com/evanoberholster/imagemeta"), "testImages", "NEF.exif"))
	if err != nil {
		tb.Skip("needs the sample file NEF.exif: " + err.Error())
	}
	taken := []byte("2013:09:03 09:45:16")
	if bytes.Count(src, taken) == 0 {
		tb.Fatal("the sample has another time")
	}
	dir := tb.TempDir()
	at := time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)
	for i := range n {
		at = at.Add(time.Second)
		if i%8 == 0 { // bursts of eight
			at = at.Add(40 * time.Second)
		}
		path := filepath.Join(dir, fmt.Sprintf("DSC_%04d.NEF", i))
		if err := os.WriteFile(path, bytes.ReplaceAll(src, taken, []byte(at.Format("2006:01:02 15:04:05"))), 0o666); err != nil {
			tb.Fatal(err)
		}
		if err := os.Truncate(path, honestSize); err != nil {
			tb.Fatal(err)
		}
	}
	return dir
}

// BenchmarkRun prepares GARNER_FRAMES (64) raws of honest size for the first
// time, then again. It reports frames a second and the most that the heap held.
func BenchmarkRun(b *testing.B) {
	n, _ := strconv.Atoi(os.Getenv("GARNER_FRAMES"))
	if n <= 0 {
		n = 64
	}
	dir := wedding(b, n)
	for _, c := range []struct {
		name string
		made int
	}{{"first", n}, {"again", 0}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if c.made > 0 {
					if err := os.RemoveAll(filepath.Join(dir, ".garner")); err != nil {
						b.Fatal(err)
					}
				}
				j, err := job.Open(dir, job.Options{Who: "bench"})
				if err != nil {
					b.Fatal(err)
				}
				heap, seen := uint64(0), 0
				sum, err := Run(b.Context(), j, Options{Workers: runtime.GOMAXPROCS(0), Frame: func(FrameReport) {
					if seen++; seen%32 == 0 {
						var m runtime.MemStats
						runtime.ReadMemStats(&m)
						heap = max(heap, m.HeapInuse)
					}
				}})
				if err != nil {
					b.Fatal(err)
				}
				if sum.Frames != n || sum.Made != c.made || sum.Cached != n-c.made {
					b.Fatalf("%+v", sum)
				}
				b.ReportMetric(float64(n)/sum.Took.Seconds(), "frames/s")
				b.ReportMetric(float64(heap)/(1<<20), "heap-MiB")
				j.Close()
			}
		})
	}
}

// What is kept in memory must not grow with the number of frames beyond their
// records: no picture may be held.
func TestMemoryStaysFlat(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a second")
	}
	dir := wedding(t, 48)
	j, err := job.Open(dir, job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	var at []uint64
	_, err = Run(t.Context(), j, Options{Workers: 2, Frame: func(FrameReport) {
		if len(at) < 47 {
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			at = append(at, m.HeapAlloc)
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	early, late := at[8], at[46]
	for i := range 8 { // frames under way make it uneven: the least of eight
		early, late = min(early, at[8+i]), min(late, at[39+i])
	}
	if late > early+4<<20 {
		t.Errorf("%d MiB after 8 frames, %d MiB after 47", early>>20, late>>20)
	}
}
