package station

import (
	"context"
	"errors"
	"maps"
	"sync/atomic"
	"time"

	"garner/cull"
	"garner/cull/measure"
)

// measuring is the measuring that goes on beside the deciding, behind everything else.
type measuring struct {
	began    bool // in this sitting
	running  bool
	again    bool // what there is to do has changed since it began
	asked    bool // the person was asked about faces in this sitting
	progress measure.Progress
	lastKey  atomic.Int64 // when the last key came, Unix nanoseconds
	making   atomic.Bool  // pictures are being made
}

// restFor is how long after a key nothing new is measured: until what the key asked
// for, and what the next ones may ask for, is there or has been begun.
const restFor = 400 * time.Millisecond

// busy reports whether somebody works. Any goroutine may ask.
func (m *measuring) busy() bool {
	return m.making.Load() || time.Since(time.Unix(0, m.lastKey.Load())) < restFor
}

// Measure begins to measure what is not measured yet, once the job is prepared.
func (d *Desk) Measure() {
	switch {
	case d.o.Evidence.NoMeasuring || d.filling.running:
		return
	case d.measuring.running:
		d.measuring.again = true
		return
	}
	d.measuring.began, d.measuring.running, d.measuring.again = true, true, false
	d.beside(func() {
		_, err := measure.Run(d.ctx, d.job, measure.Options{
			Busy: d.measuring.busy,
			Urgent: func() []cull.ID {
				if ids := d.filling.urgent.Load(); ids != nil {
					return *ids
				}
				return nil
			},
			Progress: func(p measure.Progress) { d.mail.put(func(n *News) { n.measuring = &p }) },
			Warn:     func(s string) { d.mail.put(func(n *News) { n.warnings = append(n.warnings, s) }) },
			Saved: func(of map[cull.ID]cull.Measures) {
				d.mail.put(func(n *News) { n.measured = addMeasured(n.measured, measuredNews{of: of}) })
			},
		})
		d.mail.put(func(n *News) { n.measureDone = &measureDoneNews{err} })
	})
}

// measureDoneNews is the end of measuring.
type measureDoneNews struct{ err error }

// addMeasured puts news behind what waits; of one frame one piece waits.
func addMeasured(list []measuredNews, n measuredNews) []measuredNews {
	if k := len(list) - 1; k >= 0 && !list[k].first && !n.first {
		of := maps.Clone(list[k].of)
		for id, m := range n.of {
			of[id] = over(of[id], m, true)
		}
		list[k].of = of
		return list
	}
	return append(list, n)
}

func (d *Desk) takeMeasureDone(n measureDoneNews) {
	d.measuring.running = false
	if n.err != nil && !errors.Is(n.err, context.Canceled) {
		d.Murmur("measuring stopped: %s; deciding goes on without", cause(n.err))
		return
	}
	if d.measuring.again {
		d.Measure()
	}
}

// Measuring says how far measuring is; false when it does not run.
func (d *Desk) Measuring() (measure.Progress, bool) { return d.measuring.progress, d.measuring.running }

// AskFaces reports, once in a sitting, that the person should be asked whether faces
// may be looked for: frames are measured, and nobody has answered.
func (d *Desk) AskFaces() bool {
	if d.measuring.asked || !d.measuring.began || !d.measured.read || d.measured.reading || d.faces.Asked {
		return false
	}
	d.measuring.asked = true
	return true
}
