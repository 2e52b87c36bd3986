package cull

import (
	"cmp"
	"slices"
	"time"
)

// With returns the layout as a person has corrected it. The corrections are in the
// order in which they were made. It is a function of the two alone, so that a
// correction holds however the frames were grouped anew: a promise of a correction
// is broken only by a later correction that cannot hold beside it.
//
// Everything else stays as it was grouped, but for two things that follow. A
// moment lies where its first frame lay, and in that frame's scene. A moment that
// is no look-alike any more stands at its time in the scene.
func (l Layout) With(cs []Correction) Layout {
	if len(l.Places) == 0 || len(cs) == 0 {
		return Layout{slices.Clone(l.Places), slices.Clone(l.Scenes)}
	}
	r := &regroup{base: l, at: placesOf(l, cs)}
	r.moments(cs)
	r.letGo(cs)
	r.inTime()
	r.scenes(cs)
	return r.layout()
}

// regroup is one run of With.
type regroup struct {
	base  Layout
	at    map[ID]int // mentioned frame → place; -1 = not in the layout
	units []unit     // moments, in order
	of    []int32    // place → index of its unit, as long as units stay in order of their number
	moved map[int]bool
	// moved has the scenes of the base in which sets of look-alikes were changed.
	sets int // written
}

// unit is one moment to be.
type unit struct {
	places []int // in the base, rising
	kind   MomentKind
	series SeriesKind
	alike  int // set in the base, or a new number
	was    int // set in the base of the first frame, whatever became of it
	scene  int // in the base
	at     time.Time
	order  int  // number in units as they were made
	begins bool // begins a scene
}

func placesOf(l Layout, cs []Correction) map[ID]int {
	at := map[ID]int{}
	for _, c := range cs {
		for _, ids := range [][]ID{c.Frames, c.Others} {
			for _, id := range ids {
				at[id] = -1
			}
		}
	}
	for i, p := range l.Places {
		if _, named := at[p.Frame]; named {
			at[p.Frame] = i
		}
	}
	return at
}

// known gives the places of those of some frames that the layout has.
func (r *regroup) known(ids []ID) []int {
	places := make([]int, 0, len(ids))
	for _, id := range ids {
		if i := r.at[id]; i >= 0 {
			places = append(places, i)
		}
	}
	return places
}

// inTime takes the sets of look-alikes apart where something about them was
// changed, so that every moment stands at its time; layout puts them together
// again. Only moments that stood elsewhere because of their set are moved.
func (r *regroup) inTime() {
	for from := 0; from < len(r.units); {
		to := from
		for to < len(r.units) && r.units[to].scene == r.units[from].scene {
			to++
		}
		if r.moved[r.units[from].scene] {
			bySetTime(r.units[from:to])
		}
		from = to
	}
}

func bySetTime(units []unit) {
	keys := make(map[int]time.Time, len(units)) // by unit.order
	first := map[int]time.Time{}                // set in the base → key of its first moment
	var latest time.Time
	for _, u := range units {
		key, later := first[u.was]
		if u.was == 0 || !later { // it stands at its time
			if u.at.After(latest) {
				latest = u.at
			}
			key = latest
			if u.was != 0 {
				first[u.was] = key
			}
		} else if u.at.After(key) {
			key = u.at
		}
		keys[u.order] = key
	}
	slices.SortStableFunc(units, func(a, b unit) int {
		return cmp.Or(keys[a.order].Compare(keys[b.order]), cmp.Compare(a.order, b.order))
	})
}

// layout writes the units down, the moments of each set together.
func (r *regroup) layout() Layout {
	out := Layout{Places: make([]Place, 0, len(r.base.Places))}
	for from := 0; from < len(r.units); {
		to := from + 1
		for to < len(r.units) && !r.units[to].begins {
			to++
		}
		r.writeScene(&out, r.units[from:to])
		from = to
	}
	return out
}

func (r *regroup) writeScene(out *Layout, units []unit) {
	n := len(out.Scenes)
	name := SceneNumber(n)
	if was := units[0].scene; was >= 0 && was < len(r.base.Scenes) {
		// A name stays with the beginning of its scene.
		s := r.base.Scenes[was]
		if s.Name != SceneNumber(was) && r.base.Places[units[0].places[0]].Frame == s.First {
			name = s.Name
		}
	}
	out.Scenes = append(out.Scenes, Scene{ID: n, Name: name, First: r.base.Places[units[0].places[0]].Frame})
	sets := map[int][]int{}
	for i, u := range units {
		if u.alike != 0 {
			sets[u.alike] = append(sets[u.alike], i)
		}
	}
	done := map[int]bool{}
	for i, u := range units {
		if done[i] {
			continue
		}
		switch set := sets[u.alike]; {
		case len(set) < 2:
			u.alike = 0
			r.write(out, u, n)
		default:
			r.sets++ // what one scene no longer holds is two sets
			for _, k := range set {
				done[k] = true
				units[k].alike = r.sets
				r.write(out, units[k], n)
			}
		}
	}
}

func (r *regroup) write(out *Layout, u unit, scene int) {
	moment := 0
	if n := len(out.Places); n > 0 {
		moment = out.Places[n-1].Moment + 1
	}
	for _, i := range u.places {
		p := r.base.Places[i]
		p.Moment, p.Kind, p.Series, p.Alike, p.Scene = moment, u.kind, u.series, u.alike, scene
		out.Places = append(out.Places, p)
	}
}
