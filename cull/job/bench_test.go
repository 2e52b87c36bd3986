package job_test

import (
	"testing"

	"garner/cull"
	"garner/cull/job"
)

func large(b *testing.B, frames, entries int) *job.Job {
	b.Helper()
	j := open(b, b.TempDir())
	fill(b, j, frames)
	list := make([]cull.Entry, entries)
	for i := range list {
		list[i] = cull.Entry{Verb: cull.VerbAnswer, Pass: "keep", Changes: []cull.Change{{Frame: frameID(i), After: cull.Yes, Shown: true, Explicit: true}}}
	}
	if entries > 0 {
		_, err := j.Append(list...)
		must(b, err)
	}
	return j
}

func BenchmarkOpen10000(b *testing.B) {
	j := large(b, 10000, 5000)
	for b.Loop() {
		must(b, open(b, j.Root()).Close())
	}
}

func BenchmarkAppend(b *testing.B) {
	j := large(b, 10000, 5000)
	i := 0
	for b.Loop() {
		i++
		_, err := j.Append(cull.Entry{Verb: cull.VerbAnswer, Pass: "keep", Changes: []cull.Change{{Frame: frameID(i % 10000), After: cull.Yes}}})
		must(b, err)
	}
}

func BenchmarkLayout10000(b *testing.B) {
	j := large(b, 10000, 0)
	for b.Loop() {
		_, err := j.Layout()
		must(b, err)
	}
}

func BenchmarkSession10000(b *testing.B) {
	j := large(b, 10000, 5000)
	for b.Loop() {
		_, err := j.Session()
		must(b, err)
	}
}

func BenchmarkCounts10000(b *testing.B) {
	j := large(b, 10000, 5000)
	for b.Loop() {
		_, err := j.Counts()
		must(b, err)
	}
}

func BenchmarkSaveFrames100(b *testing.B) {
	j := large(b, 10000, 0)
	frames := make([]cull.Frame, 100)
	for i := range frames {
		frames[i] = sampleFrame(i)
	}
	for b.Loop() {
		must(b, j.SaveFrames(frames))
	}
}
