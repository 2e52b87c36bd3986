package cull

import "slices"

// With returns the layout as a person has corrected it. The corrections are in the
// order in which they were made. It is a function of the two alone, so that a
// correction holds however the frames were grouped anew: a promise of a correction
// is broken only by a later correction that cannot hold beside it.
//
// Everything else stays as it was grouped, but for two things that follow. A
// moment lies where the first of its frames in time lay, and in that frame's scene.
// A moment that is no look-alike any more stands at its time in the scene.
func (l Layout) With(cs []Correction) Layout {
	if len(l.Places) == 0 || len(cs) == 0 {
		return Layout{slices.Clone(l.Places), slices.Clone(l.Scenes)}
	}
	r := &regroup{base: l, at: placesOf(l, cs)}
	r.inTime()
	r.moments(cs)
	r.letGo(cs)
	r.scenes(cs)
	return r.layout()
}

// regroup is one run of With.
type regroup struct {
	base  Layout
	at    map[ID]int // mentioned frame → place; -1 = not in the layout
	order []int      // places of the base, every moment at its time
	units []unit     // moments to be, in that order
	of    []int32    // place → index of its unit
	sets  int        // of look-alikes, that were written
}

// unit is one moment to be.
type unit struct {
	places []int // in the base, in their order
	kind   MomentKind
	series SeriesKind
	alike  int  // set in the base, or a new number
	scene  int  // in the base
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
	if len(sets) == 0 {
		for _, u := range units {
			r.write(out, u, n)
		}
		return
	}
	done := make([]bool, len(units))
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
