package clocks

import (
	"maps"
	"slices"
	"time"

	"garner/cull"
	"garner/cull/clocks/match"
	"garner/cull/group"
	"garner/cull/job"
)

// Proposal is what the pictures say of a stretch of one body's clock.
type Proposal struct {
	match.Proposal
	Clock, Right cull.Body       // the one spoken of, and the one that it is held against
	Begins       cull.Frame      // the first of the stretch
	Shows        [][2]cull.Frame // frames of one instant: the body's, the other's
	Stands       bool            // the job's present correction says the same
	Whole        bool            // every stretch of this body's clock is sure, so that it can be set
}

// agreed is how far a present correction may be from a proposal to say the same.
const agreed = time.Second

// Propose compares the pictures of all bodies. The clock that the others are held
// against is taken as it is corrected now, theirs as they were.
func Propose(j *job.Job) ([]Proposal, error) {
	frames, err := j.Frames()
	if err != nil {
		return nil, err
	}
	bodies, err := j.Bodies()
	if err != nil {
		return nil, err
	}
	of := map[string]cull.Body{}
	for _, b := range bodies {
		of[b.Key] = b
	}
	var in []group.Frame
	for _, id := range slices.Sorted(maps.Keys(frames)) {
		if f := frames[id]; len(f.Files) > 0 {
			in = append(in, group.Of(f, cull.Body{Key: f.Body}, nil))
		}
	}
	right := match.Reference(in)
	for i, f := range in {
		if f.Body == right {
			in[i].Time = of[right].Correct(f.Time)
		}
	}
	var out []Proposal
	for _, p := range match.Find(in, match.Options{Reference: right}) {
		q := Proposal{Proposal: p, Clock: of[p.Body], Right: of[p.Against], Begins: frames[p.First], Whole: true}
		for _, e := range p.Examples {
			q.Shows = append(q.Shows, [2]cull.Frame{frames[e.Of], frames[e.Like]})
		}
		out = append(out, q)
	}
	for i := range out {
		until := time.Time{}
		if i+1 < len(out) && out[i+1].Clock.Key == out[i].Clock.Key {
			until = out[i+1].From
		}
		out[i].Stands = out[i].Confidence != match.CannotTell && out[i].stands(until)
	}
	for i := range out {
		for _, q := range out {
			if out[i].Clock.Key == q.Clock.Key && q.Confidence != match.Sure {
				out[i].Whole = false
			}
		}
	}
	return out, nil
}

// stands reports that the body is corrected as proposed, from the beginning of the
// stretch to its end (zero = to the end of all).
func (p Proposal) stands(until time.Time) bool {
	same := func(add time.Duration) bool { return (add - p.Add).Abs() <= agreed }
	from := p.Begins.Taken.Wall
	for _, o := range p.Clock.Offsets {
		if o.From.After(from) && (until.IsZero() || o.From.Before(until)) && !same(o.Add) {
			return false
		}
	}
	return same(standing(p.Clock, from).Add)
}

// Sure turns those proposals into settings that may be set unseen: of bodies whose
// whole clock is sure and that nobody has corrected yet. left are those that are
// sure but differ from what somebody set.
func Sure(all []Proposal) (settings []Setting, left []Proposal) {
	corrected := map[string]bool{}
	for _, p := range all {
		if p.Whole && !p.Stands && len(p.Clock.Offsets) > 0 && !corrected[p.Clock.Key] {
			corrected[p.Clock.Key] = true
			left = append(left, p)
		}
	}
	for _, p := range all {
		if p.Whole && len(p.Clock.Offsets) == 0 && !allStand(all, p.Clock.Key) {
			settings = append(settings, p.Setting())
		}
	}
	return settings, left
}

// allStand reports that every stretch of a body stands as it is proposed.
func allStand(all []Proposal, key string) bool {
	return !slices.ContainsFunc(all, func(p Proposal) bool { return p.Clock.Key == key && !p.Stands })
}

// Setting is the setting that a proposal asks for.
func (p Proposal) Setting() Setting {
	name := p.Clock.Letter
	if name == "" {
		name = p.Clock.Serial
	}
	add := p.Add
	return Setting{Body: name, Add: &add, From: p.From}
}
