package station

import (
	"time"

	"garner/cull"
)

// noAlikes is said where a key of look-alikes cannot act.
const noAlikes = "nothing else in this scene looks like this moment"

// AlikeMoment is another moment of the set of look-alikes that the moment under
// the cursor belongs to, as far as the pass asks about it.
type AlikeMoment struct {
	First  cull.ID
	Name   string // of its first frame
	Letter string // of its body
	Kind   cull.MomentKind
	Series cull.SeriesKind
	Counts cull.Counts
	After  time.Duration // from the first frame of the cursor's moment to its first
}

// Alikes returns the other moments that look like the one under the cursor, in
// order.
func (d *Desk) Alikes() []AlikeMoment {
	id, pass := d.session.Cursor(), d.session.CursorPass()
	here, ok := d.session.Place(id)
	if !ok || here.Alike == 0 {
		return nil
	}
	var begin time.Time
	if frames := d.session.Moment(id); len(frames) > 0 {
		first, _ := d.session.Place(frames[0])
		begin = first.Corrected.Wall
	}
	var list []AlikeMoment
	moment := -1
	for _, other := range d.session.Alikes(id) {
		p, ok := d.session.Place(other)
		if !ok || p.Moment == here.Moment || !d.session.Eligible(pass, other) {
			continue
		}
		if p.Moment != moment {
			moment = p.Moment
			a := AlikeMoment{First: other, Name: d.name(other), Letter: d.bodies[d.frames[other].Body].Letter, Kind: p.Kind, Series: p.Series}
			if !begin.IsZero() && !p.Corrected.Wall.IsZero() {
				a.After = p.Corrected.Wall.Sub(begin)
			}
			list = append(list, a)
		}
		list[len(list)-1].Counts.Add(d.session.Decision(pass, other).Answer, 1)
	}
	return list
}

// NoAlikes says why a key of look-alikes cannot act; "" = it can.
func (d *Desk) NoAlikes() string {
	if !d.hasAlikes(d.session.Cursor()) {
		return noAlikes
	}
	return ""
}

// hasAlikes reports whether the pass asks about a frame of another moment that
// looks alike.
func (d *Desk) hasAlikes(id cull.ID) bool {
	here, ok := d.session.Place(id)
	if !ok || here.Alike == 0 {
		return false
	}
	for _, other := range d.session.Alikes(id) {
		if p, ok := d.session.Place(other); ok && p.Moment != here.Moment && d.session.Eligible(d.session.CursorPass(), other) {
			return true
		}
	}
	return false
}

// alikesAsked are the frames of the whole set that the pass asks about.
func (d *Desk) alikesAsked(id cull.ID) []cull.ID {
	var list []cull.ID
	for _, m := range d.session.Alikes(id) {
		if d.session.Eligible(d.session.CursorPass(), m) {
			list = append(list, m)
		}
	}
	return list
}

// fanNeighbours are the frames before and after the set of look-alikes that the
// cursor is in: where a fan over it leads on to.
func (d *Desk) fanNeighbours(set int) []cull.ID {
	places, at := d.session.Layout().Places, d.session.CursorIndex()
	var list []cull.ID
	for _, dir := range []int{1, -1} {
		for i, n := at, 0; i >= 0 && i < len(places) && n < maxSteps; i, n = i+dir, n+1 {
			if p := places[i]; p.Alike != set && d.session.Eligible(d.session.CursorPass(), p.Frame) {
				list = append(list, p.Frame)
				break
			}
		}
	}
	return list
}
