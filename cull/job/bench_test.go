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

// BenchmarkStart10000 is what a screen reads before it shows anything.
func BenchmarkStart10000(b *testing.B) {
	j := large(b, 10000, 5000)
	for b.Loop() {
		j := open(b, j.Root())
		_, err := j.Session()
		must(b, err)
		_, err = j.Frames()
		must(b, err)
		_, err = j.Layout()
		must(b, err)
		_, err = j.Bodies()
		must(b, err)
		_, err = j.Aliases()
		must(b, err)
		must(b, j.Close())
	}
}

// BenchmarkLoad10000 is the same in one go.
func BenchmarkLoad10000(b *testing.B) {
	j := large(b, 10000, 5000)
	for b.Loop() {
		j := open(b, j.Root())
		l, err := j.Load()
		must(b, err)
		if len(l.Frames) != 10000 {
			b.Fatal(len(l.Frames))
		}
		must(b, j.Close())
	}
}

func BenchmarkFramesOf50(b *testing.B) {
	j := large(b, 10000, 0)
	var ids []cull.ID
	for i := range 50 {
		ids = append(ids, frameID(200*i))
	}
	for b.Loop() {
		found, err := j.FramesOf(ids...)
		must(b, err)
		if len(found) != 50 {
			b.Fatal(len(found))
		}
	}
}

func BenchmarkSaveLayout10000(b *testing.B) {
	j := large(b, 10000, 0)
	l, err := j.Layout()
	must(b, err)
	for b.Loop() {
		must(b, j.SaveLayout(l))
	}
}

// BenchmarkSaveFrames1000 saves frames that are known, and those of a new job.
func BenchmarkSaveFrames1000(b *testing.B) {
	frames := make([]cull.Frame, 1000)
	for i := range frames {
		frames[i] = sampleFrame(i)
	}
	b.Run("known", func(b *testing.B) {
		j := large(b, 10000, 0)
		for b.Loop() {
			must(b, j.SaveFrames(frames))
		}
	})
	b.Run("new", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			j := open(b, b.TempDir())
			b.StartTimer()
			must(b, j.SaveFrames(frames))
		}
	})
}

// The copies that are made once a minute beside somebody who decides: one entry is
// new, and nothing is.
func BenchmarkCopyJournals(b *testing.B) {
	for _, c := range []struct {
		name string
		news bool
	}{{"one entry more", true}, {"nothing new", false}} {
		b.Run(c.name, func(b *testing.B) {
			j := large(b, 10000, 5000)
			must(b, j.SetAlso([]string{destination(b), destination(b)}))
			copied(b, j)
			for i := 0; b.Loop(); i++ {
				if c.news {
					b.StopTimer()
					_, err := j.Append(cull.Entry{Verb: cull.VerbAnswer, Pass: "keep", Changes: []cull.Change{{Frame: frameID(i % 10000), After: cull.Yes}}})
					must(b, err)
					b.StartTimer()
				}
				copied(b, j)
			}
		})
	}
}
