package cull

import "slices"

// moments makes the moments to be.
func (r *regroup) moments(cs []Correction) {
	b := newBonds(len(r.base.Places))
	touched := map[int]bool{} // moments of the base
	touch := func(places []int) []int {
		for _, i := range places {
			touched[r.base.Places[i].Moment] = true
		}
		return places
	}
	for k, c := range slices.Backward(cs) {
		switch c.Kind {
		case JoinMoment, JoinSeries:
			b.join(touch(r.known(c.Frames)))
		case SplitAt:
			b.split(k, touch(r.known(c.Frames)), before)
			b.split(k, touch(r.known(c.Others)), after)
		case TakeOut:
			b.takeOut(touch(r.known(c.Frames)))
		}
	}
	automatic := map[int][]int{}
	var order []int
	for _, i := range r.order {
		if p := r.base.Places[i]; touched[p.Moment] {
			if automatic[p.Moment] == nil {
				order = append(order, p.Moment)
			}
			automatic[p.Moment] = append(automatic[p.Moment], i)
		}
	}
	for _, m := range order {
		b.join(automatic[m])
	}
	kinds := map[int32]joinedAs{}
	for i, as := range r.joined(cs) {
		root := b.root(i)
		if has, ok := kinds[root]; ok {
			as = has.with(as)
		}
		kinds[root] = as
	}
	r.makeUnits(b, touched, kinds)
}

// joinedAs says of a place whether it is of a series, and of which.
type joinedAs struct {
	series bool
	of     int // moment of the base from 0, correction from -1 down
	kind   SeriesKind
}

// with is what two places of one moment are together.
func (a joinedAs) with(b joinedAs) joinedAs {
	switch {
	case !a.series:
		return b
	case b.series && a.of != b.of:
		a.kind = Together
	}
	return a
}

// joined goes through the corrections that join, from the first to the last, and
// says what each place has become by them: of a series where a correction says so,
// or where all that it joins came from one. Places that none of them names are not
// in the map.
func (r *regroup) joined(cs []Correction) map[int]joinedAs {
	now := map[int]joinedAs{}
	look := func(i int) joinedAs {
		if a, ok := now[i]; ok {
			return a
		}
		p := r.base.Places[i]
		return joinedAs{p.Kind == Series, p.Moment, p.Series}
	}
	for k, c := range cs {
		places := r.known(c.Frames)
		if c.Kind != JoinMoment && c.Kind != JoinSeries || len(places) == 0 {
			continue
		}
		first, all, one := look(places[0]), true, true
		for _, i := range places {
			a := look(i)
			all = all && a.series
			one = one && a.series && a.of == first.of
		}
		as := joinedAs{series: all || c.Kind == JoinSeries, of: -1 - k, kind: Together}
		if one {
			as.kind = first.kind
		}
		for _, i := range places {
			now[i] = as
		}
	}
	return now
}

func (r *regroup) makeUnits(b *bonds, touched map[int]bool, kinds map[int32]joinedAs) {
	r.of = make([]int32, len(r.base.Places))
	r.units = make([]unit, 0, len(r.base.Places)/2)
	byRoot := map[int32]int{}
	for k, i := range r.order {
		p := r.base.Places[i]
		if !touched[p.Moment] {
			if k == 0 || p.Moment != r.base.Places[r.order[k-1]].Moment {
				r.addUnit(i, p.Kind, p.Series)
				r.units[len(r.units)-1].places = r.order[k : k+1]
			} else {
				last := &r.units[len(r.units)-1]
				last.places = r.order[k-len(last.places) : k+1]
			}
			r.of[i] = int32(len(r.units) - 1)
			continue
		}
		root := b.root(i)
		n, there := byRoot[root]
		if !there {
			n = len(r.units)
			byRoot[root] = n
			as, joined := kinds[root]
			switch {
			case b.size[root] == 1:
				r.addUnit(i, Single, "")
			case joined && as.series:
				r.addUnit(i, Series, as.kind)
			case joined:
				r.addUnit(i, Burst, "")
			default:
				r.addUnit(i, p.Kind, p.Series)
			}
			if b.alone[root] {
				r.units[n].alike = 0
			}
		}
		r.units[n].places = append(r.units[n].places, i)
		r.of[i] = int32(n)
	}
}

func (r *regroup) addUnit(place int, kind MomentKind, series SeriesKind) {
	p := r.base.Places[place]
	r.units = append(r.units, unit{kind: kind, series: series, alike: p.Alike, scene: p.Scene})
}
