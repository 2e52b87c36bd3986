package prepare

import (
	"context"
	"errors"
	"os"
	"testing"
	"time"

	"garner/cull/job"
)

// BenchmarkLook opens the folder GARNER_FOLDER as a job of which nothing is
// known, and reports when the first frames are there and when all are. .ci/honest
// makes such a folder with files of honest size.
func BenchmarkLook(b *testing.B) {
	dir := os.Getenv("GARNER_FOLDER")
	if dir == "" {
		b.Skip("needs a folder: GARNER_FOLDER")
	}
	var early, all time.Duration
	for b.Loop() {
		begin := time.Now()
		j, err := job.Open(dir, job.Options{Who: "bench", State: b.TempDir()})
		if err != nil {
			b.Fatal(err)
		}
		ctx, cancel := context.WithCancel(b.Context())
		first := true
		_, err = Run(ctx, j, Options{CacheBytes: -1, Saved: func(Saved) {
			if first {
				early += time.Since(begin)
			}
			if first = false; !j.NeedsScan() {
				cancel()
			}
		}, Progress: func(p Progress) {
			if p.Stage == Pictures && p.Done == 1 {
				all += time.Since(begin)
				cancel()
			}
		}})
		if !errors.Is(err, context.Canceled) {
			b.Fatal(err)
		}
		cancel()
		j.Close()
	}
	b.ReportMetric(float64(early.Milliseconds())/float64(b.N), "ms-to-first")
	b.ReportMetric(float64(all.Milliseconds())/float64(b.N), "ms-to-all")
}
