package handoff

import (
	"garner/cull"
	"garner/cull/job"
)

// Ours tells what handoffs wrote into the sidecars of a job from what others did.
type Ours struct{ mem *memory }

// OursIn reads what handoffs of the job wrote.
func OursIn(j *job.Job) (*Ours, error) {
	m, err := remembered(j, nil)
	return &Ours{m}, err
}

// Rating returns the rating that a handoff wrote into a sidecar of a frame; false if
// none did. Path is relative to the job, content is what the sidecar holds now. It
// is found again where the sidecar was moved, or the catalogue lost.
func (o *Ours) Rating(id cull.ID, path string, content []byte) (int, bool) {
	last := o.mem.last(path, content)
	for _, key := range o.mem.byFrame[id] {
		if last == nil {
			last = o.mem.last(key, content)
		}
	}
	if last == nil {
		last = o.mem.fromJournal(id, content)
	}
	if last == nil || last.Rating == nil {
		return 0, false
	}
	return *last.Rating, true
}
