package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/station"
	"garner/preview/term"
)

// From a key to the bytes that are handed to the terminal: Update, View and, where
// the picture is ready, the painting of it. PERFORMANCE: 2 ms at the median, 5 ms
// in the worst of a hundred, once pictures are sent ahead; now each is painted
// when its turn has come.
func BenchmarkKeyToBytes(b *testing.B) {
	dir := demo(b)
	for _, mode := range []string{"blocks", "kitty"} {
		b.Run(mode, func(b *testing.B) {
			d := drive(b, dir, 200, 59, Options{Picture: mode})
			defer d.close()
			d.m.pictures.caps.SharedMemory = true
			d.m.pictures.painter = d.m.pictures.newPainter()
			d.toBurst(3)
			var took []time.Duration
			for i := 0; b.Loop(); i++ {
				key := "down"
				if i%2 == 1 {
					key = "up"
				}
				d.now = d.now.Add(time.Second)
				begin := time.Now()
				d.m.Update(keyMsg(term.Key{Name: key, At: d.now}))
				d.m.View()
				for _, s := range d.waiting {
					s.Build()
				}
				took = append(took, time.Since(begin))
				d.settle()
			}
			report(b, took)
		})
	}
}

// A key in a job of 10,000 frames without pictures: what the size of the job
// costs.
func BenchmarkKeyIn10000(b *testing.B) {
	d := driveAs(b, manyFrames(b, 10_000), 200, 59, Options{}, station.Options{AsItIs: true})
	defer d.close()
	for _, keys := range [][]string{{"right"}, {"k"}, {"pgdown", "pgup"}} {
		b.Run(keys[0], func(b *testing.B) {
			var took []time.Duration
			for i := 0; b.Loop(); i++ {
				d.now = d.now.Add(time.Second)
				begin := time.Now()
				d.m.Update(keyMsg(term.Key{Name: keys[i%len(keys)], At: d.now}))
				d.m.View()
				took = append(took, time.Since(begin))
				d.settle()
			}
			report(b, took)
		})
	}
}

// The same where every moment has look-alikes, with the facts open: the light of the
// scene is worked out beside the desk.
func BenchmarkKeyInAlikes(b *testing.B) {
	dir := manyFrames(b, 10_000)
	regroup(b, dir, func(l *cull.Layout) {
		for i := range l.Places {
			l.Places[i].Alike = l.Places[i].Scene*100 + l.Places[i].Moment%62/5 + 1
		}
	})
	d := driveAs(b, dir, 200, 59, Options{}, station.Options{AsItIs: true})
	defer d.close()
	d.press("i")
	for _, key := range []string{"right", "k"} {
		b.Run(key, func(b *testing.B) {
			var took []time.Duration
			for b.Loop() {
				d.now = d.now.Add(time.Second)
				begin := time.Now()
				d.m.Update(keyMsg(term.Key{Name: key, At: d.now}))
				d.m.View()
				took = append(took, time.Since(begin))
				d.settle()
			}
			report(b, took)
		})
	}
}

func report(b *testing.B, took []time.Duration) {
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds()), "p50-µs")
	b.ReportMetric(float64(took[len(took)*90/100].Microseconds()), "p90-µs")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "p99-µs")
}

// manyFrames is a job whose files are not there: frames, order and names alone.
func manyFrames(b *testing.B, n int) string {
	b.Helper()
	dir := filepath.Join(b.TempDir(), "job")
	if err := os.Mkdir(dir, 0o777); err != nil {
		b.Fatal(err)
	}
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	var l cull.Layout
	var frames []cull.Frame
	at := time.Date(2026, 6, 13, 11, 0, 0, 0, time.UTC)
	for i := range n {
		id := cull.ID(fmt.Sprintf("%016x", i+1))
		if i%250 == 0 {
			l.Scenes = append(l.Scenes, cull.Scene{ID: len(l.Scenes), Name: cull.SceneNumber(len(l.Scenes)), First: id})
		}
		stamp := cull.Stamp{Wall: at.Add(time.Duration(i) * 3 * time.Second)}
		l.Places = append(l.Places, cull.Place{Frame: id, Moment: i / 4, Kind: cull.Burst, Scene: len(l.Scenes) - 1, Corrected: stamp})
		name := fmt.Sprintf("A/IMG_%04d", i)
		frames = append(frames, cull.Frame{ID: id, Name: name, Kind: "CR3", Taken: stamp,
			Files:    []cull.File{{Path: name + ".CR3", Role: cull.RoleMain, Kind: "CR3", Size: 1}},
			Problems: []cull.Problem{{Code: cull.ProblemNoPicture, Text: "there is no JPEG in the file that could be shown"}}})
	}
	for chunk := range slices.Chunk(frames, 1000) {
		if err := j.SaveFrames(chunk); err != nil {
			b.Fatal(err)
		}
	}
	if err := j.SaveLayout(l); err != nil {
		b.Fatal(err)
	}
	return dir
}
