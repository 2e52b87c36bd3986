package intake

import (
	"context"
	"fmt"
	"slices"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// keep records the cards in the catalogue, and sends the decisions to the other
// destinations. What goes wrong here is a warning: the files have arrived.
func (r *run) keep(j *job.Job, rep *Report) {
	var dests []string
	for _, d := range r.dests {
		if d.isDown() == nil {
			dests = append(dests, d.Root)
		}
	}
	also := r.o.Also
	if old, err := j.Also(); err == nil {
		also = slices.Concat(old, also)
	}
	if err := j.SetAlso(also); err != nil {
		r.warn("the other destinations could not be noted: " + reason(err))
	}
	if err := r.protect(j); err != nil {
		r.warn("which files were protected in the body could not be noted: " + reason(err))
	}
	for i, c := range rep.Cards {
		if c.Files == 0 || r.o.Only != nil {
			continue
		}
		err := j.SaveCard(job.Card{
			Label: c.Label, VolumeID: r.sources[i].volume.ID, Bodies: c.Bodies, First: c.First, Last: c.Last, From: c.From, Until: c.Until,
			Frames: c.Frames, Files: c.Files, Bytes: c.Bytes, Destinations: dests, Safe: c.Safe, Why: c.Why, At: r.o.Now(),
		})
		if err != nil {
			r.warn(fmt.Sprintf("card %d could not be recorded: %s", c.Number, reason(err)))
		}
	}
	for _, err := range j.CopyJournals(context.Background()) {
		r.warn(reason(err))
	}
	if r.carrier != nil {
		alarms, err := r.alarms(j)
		if err != nil {
			r.warn("whether a card is missing could not be looked into: " + reason(err))
		}
		rep.Alarms = alarms
	}
	rep.Warnings = r.report.Warnings
}

// Letters implements host.
func (h jobHost) Letters(bodies []cull.Body) (map[string]string, error) {
	var seen []job.SeenBody
	for i, b := range bodies {
		// Only the order counts; what the bodies' clocks say comes with preparing.
		seen = append(seen, job.SeenBody{Body: b, First: time.Unix(int64(i+1), 0)})
	}
	return job.GiveLetters(h.Job, seen, h.settings)
}
