package measure

import (
	"errors"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/people"
)

// What was measured is saved when it is so many frames or so old: what an
// interruption can cost, against a sync of the disk each.
const (
	batchFrames = 64
	batchAge    = 2 * time.Second
)

// found is what the measuring of one frame gave.
type found struct {
	job.Measured
	faces    []people.Face // with templates, where those were wanted
	people   bool          // they were, and the faces were looked for
	networks error         // why faces cannot be looked for, in any frame; nil = they can
	err      error         // why nothing could be measured now; another time it may
	did      wanted        // what of it was allowed when it was measured
	took     time.Duration
}

// batch collects what was measured until it is saved.
type batch struct {
	run           *run
	faces, people bool // allowed when the round was planned
	more          bool // more is allowed by now
	waiting       map[cull.ID]job.Measured
	templates     []people.Found
	saved         time.Time
}

func (b *batch) add(id cull.ID, w wanted, f found) error {
	r := b.run
	did := f.did
	if f.err != nil { // that was all, for this Run
		did = w
	}
	r.did[id] = wanted{w.of, true, true, r.did[id].faces || did.faces, r.did[id].people || did.people}
	r.done++
	r.worked += f.took
	if f.networks != nil {
		r.withoutFaces(f.networks)
	}
	cannot := f.err
	if cannot == nil && f.Tried.Why != "" {
		cannot = errors.New(f.Tried.Why)
	}
	if cannot != nil {
		r.sum.Failed++
	} else {
		r.sum.Measured++
	}
	if f.err == nil {
		if b.waiting == nil {
			b.waiting = map[cull.ID]job.Measured{}
		}
		b.waiting[id] = f.Measured
	}
	if f.people {
		b.templates = append(b.templates, people.Found{Frame: id, Faces: f.faces})
	}
	r.o.Frame(id, cannot)
	r.progress(false)
	if len(b.waiting) >= batchFrames || r.o.Now().Sub(b.saved) >= batchAge {
		return b.flush()
	}
	return nil
}

// flush saves what there is, and looks whether the answers of the job have changed.
func (b *batch) flush() error {
	r := b.run
	waiting, templates := b.waiting, b.templates
	b.waiting, b.templates, b.saved = nil, nil, r.o.Now()
	if len(waiting) > 0 {
		if err := r.j.SaveMeasured(waiting); err != nil {
			return err
		}
	}
	if err := r.consent(); err != nil {
		return err
	}
	b.more = r.faces.Load() && !b.faces || r.people.Load() && !b.people
	if r.people.Load() && len(templates) > 0 {
		err := r.store.Put(templates...)
		switch {
		case errors.Is(err, people.ErrNoConsent):
		case err != nil:
			r.withoutPeople(err)
		default:
			for _, t := range templates {
				r.sum.Templates += len(t.Faces)
			}
		}
	}
	for i := range templates {
		clear(templates[i].Faces) // memory keeps them no longer than needed
	}
	if len(waiting) == 0 {
		return nil
	}
	told := make(map[cull.ID]cull.Measures, len(waiting))
	for id, m := range waiting {
		if !r.faces.Load() {
			m.Faces = cull.Faces{} // the job did not take them
		}
		r.sum.Faces += len(m.Faces.List)
		told[id] = m.Measures
	}
	r.o.Saved(told)
	return nil
}
