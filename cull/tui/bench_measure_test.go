package tui

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync/atomic"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/measure"
	"garner/cull/station"
	"garner/preview/term"
)

// The same keys while frames are measured and faces looked for by one worker. "always"
// measures on whatever happens, which the station never does: it is the worst that can
// be. "resting" begins nothing within 400 ms of a key, as the station does. What is
// measured is the job of GARNER_BENCH_JOB (.ci/photos), else the one that is walked.
func BenchmarkKeyToBytesWhileMeasuring(b *testing.B) {
	dir := manyPictures(b, 600)
	for _, way := range []string{"alone", "resting", "always"} {
		b.Run(way, func(b *testing.B) {
			d := driveAs(b, dir, 200, 59, Options{Picture: "kitty"}, station.Options{AsItIs: true})
			defer d.close()
			d.quick()
			d.settle()
			var keys lastKey
			if way != "alone" {
				busy := func() bool { return false }
				if way == "resting" {
					busy = keys.recent
				}
				measured := measureOn(b, dir, busy)
				defer func() { b.ReportMetric(float64(measured()), "measured") }()
			}
			var took []time.Duration
			key := "right"
			for b.Loop() {
				d.idle()
				h, _ := d.desk.Here()
				switch {
				case h.Position > 590:
					key = "left"
				case h.Position < 10:
					key = "right"
				}
				d.now = d.now.Add(time.Second)
				keys.press()
				begin := time.Now()
				d.m.Update(keyMsg(term.Key{Name: key, At: d.now}))
				d.m.View()
				d.untilWhole()
				bytes := d.waiting[0].Build()
				took = append(took, time.Since(begin))
				d.waiting[0].Build = func() []byte { return bytes }
				d.settle()
			}
			report(b, took)
		})
	}
}

// measureOn measures a job again and again until the function that it returns is
// called, which says how many frames it came to.
func measureOn(b *testing.B, dir string, busy func() bool) func() int {
	if of := os.Getenv("GARNER_BENCH_JOB"); of != "" {
		dir = of
	}
	j, err := job.Open(dir, job.Options{Who: "anna", State: b.TempDir()})
	if err != nil {
		b.Fatal(err)
	}
	frames := map[cull.ID]cull.Frame{}
	from, err := job.Open(dir, job.Options{ReadOnly: true})
	if err == nil {
		frames, err = from.Frames()
	}
	var list []cull.Frame
	for _, f := range frames {
		list = append(list, f)
	}
	if err = errors.Join(err, j.SaveFrames(list), j.SetFaces(true)); err != nil {
		b.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan int)
	go func() {
		n := 0
		for ctx.Err() == nil {
			_, err := measure.Run(ctx, j, measure.Options{Workers: 1, Busy: busy, Frame: func(_ cull.ID, cannot error) {
				if n++; cannot != nil {
					b.Error(cannot)
				}
			}})
			// Other heads: all of it is measured again.
			for i := range list {
				for k := range list[i].Files {
					list[i].Files[k].Head = fmt.Sprintf("%064x", n)
				}
			}
			if err == nil {
				err = j.SaveFrames(list)
			}
			if err != nil && ctx.Err() == nil {
				b.Error(err)
				break
			}
		}
		done <- n
	}()
	return func() int {
		cancel()
		n := <-done
		j.Close()
		return n
	}
}

// lastKey is when somebody pressed a key.
type lastKey struct{ at atomic.Int64 }

func (l *lastKey) press() { l.at.Store(time.Now().UnixNano()) }

func (l *lastKey) recent() bool { return time.Since(time.Unix(0, l.at.Load())) < 400*time.Millisecond }
