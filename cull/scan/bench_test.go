package scan

import (
	"os"
	"testing"
)

// BenchmarkScan scans the folder GARNER_FOLDER, of which nothing is known.
// .ci/honest makes one with files of honest size.
func BenchmarkScan(b *testing.B) {
	dir := os.Getenv("GARNER_FOLDER")
	if dir == "" {
		b.Skip("needs a folder: GARNER_FOLDER")
	}
	n := 0
	for b.Loop() {
		res, err := Scan(b.Context(), dir, Options{})
		if err != nil {
			b.Fatal(err)
		}
		n = len(res.Frames)
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*n), "µs/frame")
}
