package handoff

import (
	"garner/cull"
	"garner/cull/job"
	"garner/cull/sidecar"
)

// Ours tells what handoffs wrote into the sidecars of a job from what others did.
type Ours struct{ mem *memory }

// OursIn reads what handoffs of the job wrote.
func OursIn(j *job.Job) (*Ours, error) {
	m, err := remembered(j, nil)
	return &Ours{m}, err
}

// Rating returns the rating that a handoff wrote into a sidecar of a frame, nil if it
// wrote none; not known if no handoff of this job is known to have written there. Path
// is relative to the job, content is what the sidecar holds now. It is found again
// where the sidecar was moved, or the catalogue lost.
func (o *Ours) Rating(id cull.ID, path string, content []byte) (rating *int, known bool) {
	last := o.mem.last(path, content)
	for _, key := range o.mem.byFrame[id] {
		if last == nil {
			last = o.mem.last(key, content)
		}
	}
	if last == nil {
		last = o.mem.fromJournal(id, content)
	}
	if last == nil {
		return nil, false
	}
	return last.Rating, true
}

// Judged reports whether a sidecar holds a rating in the form in which handoffs write
// them, whichever job's.
func Judged(content []byte) bool {
	v, err := sidecar.Read(content)
	return err == nil && v.Judged()
}
