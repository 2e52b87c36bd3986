package measure

import (
	"context"
	"os"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/testdata/testjob"
)

// BenchmarkFrame measures frames of a prepared job on one worker, in turns: that of
// GARNER_BENCH_JOB (.ci/photos makes one of 24 MP), else an invented one of 4 MP.
func BenchmarkFrame(b *testing.B) {
	dir := os.Getenv("GARNER_BENCH_JOB")
	if dir == "" {
		dir = testjob.Template(b, 24, true)
	}
	j, err := job.Open(dir, job.Options{ReadOnly: true})
	must(b, err)
	all, err := j.Frames()
	must(b, err)
	var frames []cull.Frame
	for _, f := range inOrder(all, cull.Layout{}) {
		if f.CanBeShown() {
			frames = append(frames, f)
		}
	}
	for _, c := range []struct {
		name string
		want wanted
	}{{"focus", wanted{focus: true}}, {"light", wanted{light: true}}, {"focus+light", wanted{focus: true, light: true}},
		{"faces", wanted{faces: true}}, {"all", wanted{focus: true, light: true, faces: true}}} {
		b.Run(c.name, func(b *testing.B) {
			viewer := prepare.NewViewer(j)
			defer viewer.Close()
			e := newEye(viewer, 1)
			faces, n := 0, 0
			for b.Loop() {
				got, err := e.measure(b.Context(), frames[n%len(frames)], c.want, func(context.Context) error { return nil })
				if err != nil || got.err != nil || got.networks != nil || got.Tried.Why != "" {
					b.Fatal(err, got.err, got.networks, got.Tried.Why)
				}
				faces += len(got.Faces.List)
				n++
			}
			b.ReportMetric(float64(faces)/float64(n), "faces/op")
		})
	}
}
