package group

import (
	"testing"

	"garner/testdata/testday"
)

// BenchmarkUnlike is of frames that have to be moved over each other.
func BenchmarkUnlike(b *testing.B) {
	frames := framesOf(testday.New(1, 600), true)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		unlike(&frames[i%300], &frames[300+i%299])
	}
}
