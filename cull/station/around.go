package station

import "garner/cull"

const (
	// further is how many frames are made in the direction that one walks in, beyond
	// the next one.
	further = 2
	// ahead is how many open frames after the cursor are made before they are asked
	// for.
	ahead = 3
)

// around lists the frames that the next keys may lead to, the likeliest first: on
// in the direction of the last walk, then where the other keys lead. The first two
// are where the next key probably leads.
func (d *Desk) around() []cull.ID {
	var list []cull.ID
	seen := map[cull.ID]bool{"": true, d.session.Cursor(): true}
	add := func(ids ...cull.ID) {
		for _, id := range ids {
			if !seen[id] {
				seen[id] = true
				list = append(list, id)
			}
		}
	}
	add(d.entry(d.session.Peek(d.course)))
	for _, m := range []cull.Motion{cull.NextOpen, cull.LadderDown, cull.NextMoment, cull.PrevMoment, cull.LadderUp} {
		add(d.entry(d.session.Peek(m)))
	}
	switch d.course {
	case cull.NextMoment:
		add(d.moments(1)...)
	case cull.PrevMoment:
		add(d.moments(-1)...)
	}
	add(d.session.OpenAfter(ahead)...)
	return list[:min(len(list), d.mostAround())]
}

// moments returns where a few steps more from moment to moment lead, forward or
// back.
func (d *Desk) moments(dir int) []cull.ID {
	places, at := d.session.Layout().Places, d.session.CursorIndex()
	if at >= len(places) {
		return nil
	}
	pass := d.session.CursorPass()
	var list []cull.ID
	moment := places[at].Moment
	// A moment is entered at its first frame: going back that is the last one met.
	for i := at + dir; i >= 0 && i < len(places) && i != at+dir*maxSteps; i += dir {
		p := places[i]
		if !d.session.Eligible(pass, p.Frame) {
			continue
		}
		switch {
		case p.Moment == moment && (dir > 0 || len(list) == 0):
		case p.Moment == moment:
			list[len(list)-1] = p.Frame
		case len(list) > further:
			return d.entries(list)
		default:
			moment = p.Moment
			list = append(list, p.Frame)
		}
	}
	return d.entries(list)
}

func (d *Desk) entries(list []cull.ID) []cull.ID {
	for i, id := range list {
		list[i] = d.entry(id)
	}
	return list
}

// maxSteps bounds how far is looked for further moments.
const maxSteps = 400
