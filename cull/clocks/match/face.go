package match

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// proposals says what was found, in the order of the clock's face, stretches of one
// offset that follow each other as one.
func proposals(ref, t *track, list []found) []Proposal {
	type ranged struct {
		Proposal
		from, to time.Time
	}
	var all []ranged
	for _, f := range list {
		p := ranged{Proposal: f.proposal(ref, t)}
		for _, g := range t.frames[t.first[f.from]:t.end(f.to-1)] {
			if p.from.IsZero() || g.Time.Wall.Before(p.from) {
				p.from, p.First = g.Time.Wall, g.ID
			}
			if g.Time.Wall.After(p.to) {
				p.to = g.Time.Wall
			}
		}
		p.From = p.from
		all = append(all, p)
	}
	slices.SortStableFunc(all, func(p, q ranged) int {
		return cmp.Or(p.from.Compare(q.from), strings.Compare(string(p.First), string(q.First)))
	})
	for i := 1; i < len(all); i++ {
		p, q := &all[i-1], &all[i]
		if p.to.Before(q.from) {
			continue
		}
		for _, x := range []*Proposal{&p.Proposal, &q.Proposal} {
			if x.Confidence == Sure {
				x.Confidence = Likely
			}
			x.Reason = "the clock showed " + q.from.Format("15:04:05") + " to " + p.to.Format("15:04:05") + " twice, so that no moment tells the two stretches apart"
		}
	}
	var out []Proposal
	for i := range all {
		p := all[i].Proposal
		if n := len(out); n > 0 && out[n-1].Confidence == Sure && p.Confidence == Sure && (out[n-1].Add-p.Add).Abs() <= 1500*time.Millisecond {
			out[n-1].take(p)
			continue
		}
		out = append(out, p)
	}
	out[0].From = time.Time{}
	return out
}

// take joins what a stretch of the same offset says.
func (p *Proposal) take(q Proposal) {
	if q.Pairs > p.Pairs {
		p.Add, p.Spread, p.Rival = q.Add, q.Spread, q.Rival
	}
	p.Pairs, p.Moments, p.Frames = p.Pairs+q.Pairs, p.Moments+q.Moments, p.Frames+q.Frames
	p.Examples = append(p.Examples, q.Examples...)
	p.Examples = p.Examples[:min(len(p.Examples), examples)]
}

// examples is how many pairs are shown.
const examples = 3

// proposal turns seconds and glimpses into what others read.
func (f found) proposal(ref, t *track) Proposal {
	p := Proposal{Body: t.body, Against: ref.body, Frames: int(t.end(f.to-1) - t.first[f.from]), Confidence: f.sure, Reason: f.reason,
		Pairs: len(f.pairs), Moments: f.moments, Rival: f.rival}
	p.Add, p.Spread = span(f.at), span(f.spread)
	p.Examples = slices.Clone(f.examples[:min(len(f.examples), examples)])
	return p
}
