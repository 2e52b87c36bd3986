package group

import (
	"slices"
	"time"

	"garner/cull"
)

// Apart is the pause of a body after which its frames are never one moment, and
// what was taken before has no say in how the frames after it are grouped.
const Apart = 30 * time.Second

// Method numbers the way in which frames are grouped. An order that another one made
// is no ground for Update.
const Method = 1

// Update is Layout for frames of which most were grouped before: old is what
// Layout or Update gave then, with the same options, and changed reports frames of
// which anything was learned since. Frames that are new, gone, or of another time
// are noticed. Only the stretches in which something happened are grouped anew;
// regrouped is how many frames these have. The result is that of Layout.
func Update(old cull.Layout, frames []Frame, changed func(cull.ID) bool, o Options) (l cull.Layout, regrouped int) {
	o = o.withDefaults()
	ordered := sorted(frames)
	u := newUpdate(old, ordered, changed)
	var ms []moment
	var again []Frame // in order, since stretches are taken apart from it
	stays := make([]bool, len(ordered))
	for _, s := range stretches(ordered) {
		if u.touched(ordered, s) {
			continue
		}
		ms = append(ms, u.moments(ordered, s)...)
		for _, i := range s {
			stays[i] = true
		}
	}
	var place []int // of again's frames in the order of all
	for i, f := range ordered {
		if !stays[i] {
			again, place = append(again, f), append(place, i)
		}
	}
	for _, m := range moments(again, o) {
		m.first = place[m.first]
		ms = append(ms, m)
	}
	slices.SortFunc(ms, func(a, b moment) int { return a.first - b.first })
	return assemble(ms, o, u.alikes), len(again)
}

// stretches cuts the order into one body's frames without a long pause between
// them, as indexes. Frames without a time are one stretch a body, frames of no
// known body one each.
func stretches(ordered []Frame) [][]int {
	var out [][]int
	open := map[string]int{} // body → its last stretch
	for i, f := range ordered {
		at, ok := open[f.Body]
		if ok && f.Body != "" {
			last := ordered[out[at][len(out[at])-1]]
			if !apart(&last, &f) {
				out[at] = append(out[at], i)
				continue
			}
		}
		open[f.Body] = len(out)
		out = append(out, []int{i})
	}
	return out
}

// update knows what was and what happened since.
type update struct {
	was       map[cull.ID]cull.Place
	perScene  map[int]int // frames of the old scenes
	perMoment map[int]int // and of the old moments
	changed   func(cull.ID) bool
	disturbed []time.Time // where frames were that are gone or changed, in order
	timeless  bool        // one of them had no time
}

func newUpdate(old cull.Layout, ordered []Frame, changed func(cull.ID) bool) *update {
	u := &update{was: make(map[cull.ID]cull.Place, len(old.Places)), perScene: map[int]int{}, perMoment: map[int]int{}, changed: changed}
	for _, p := range old.Places {
		u.was[p.Frame] = p
		u.perScene[p.Scene]++
		u.perMoment[p.Moment]++
	}
	still := make(map[cull.ID]bool, len(ordered))
	for _, f := range ordered {
		still[f.ID] = u.asBefore(f)
	}
	for _, p := range old.Places {
		switch {
		case still[p.Frame]:
		case p.Corrected.Known():
			u.disturbed = append(u.disturbed, p.Corrected.Wall)
		default:
			u.timeless = true
		}
	}
	slices.SortFunc(u.disturbed, time.Time.Compare)
	return u
}

// asBefore reports whether grouping would be told the same of a frame as before.
func (u *update) asBefore(f Frame) bool {
	p, known := u.was[f.ID]
	return known && !u.changed(f.ID) && p.Corrected.Wall.Equal(f.Time.Wall) && p.Corrected.Digits == f.Time.Digits
}

// touched reports whether anything happened in a stretch, or so near it that it
// may have been another one before.
func (u *update) touched(ordered []Frame, s []int) bool {
	for _, i := range s {
		if !u.asBefore(ordered[i]) {
			return true
		}
	}
	first, last := ordered[s[0]], ordered[s[len(s)-1]]
	if !first.Time.Known() {
		return u.timeless
	}
	i, _ := slices.BinarySearchFunc(u.disturbed, first.Time.Wall.Add(-Apart), time.Time.Compare)
	return i < len(u.disturbed) && !u.disturbed[i].After(last.Time.Wall.Add(Apart))
}

// moments are those of a stretch, as they were.
func (u *update) moments(ordered []Frame, s []int) []moment {
	var ms []moment
	for from := 0; from < len(s); {
		p := u.was[ordered[s[from]].ID]
		m := moment{kind: p.Kind, series: p.Series, first: s[from]}
		to := from
		for to < len(s) && u.was[ordered[s[to]].ID].Moment == p.Moment {
			m.frames = append(m.frames, ordered[s[to]])
			to++
		}
		ms = append(ms, m)
		from = to
	}
	return ms
}

// alikes takes over the look-alikes of a scene in which nothing happened: its frames
// are as they were, and so are its moments, which what happened to their stretch in
// another scene may have cut anew.
func (u *update) alikes(scene []moment, o Options) []int {
	first, known := u.was[scene[0].frames[0].ID]
	n := 0
	for _, m := range scene {
		moment := u.was[m.frames[0].ID].Moment
		if u.perMoment[moment] != len(m.frames) {
			return lookAlikes(scene, o)
		}
		for _, f := range m.frames {
			if p := u.was[f.ID]; !known || p.Scene != first.Scene || p.Moment != moment || !u.asBefore(f) {
				return lookAlikes(scene, o)
			}
			n++
		}
	}
	if n != u.perScene[first.Scene] {
		return lookAlikes(scene, o)
	}
	sets := make([]int, len(scene))
	for i, m := range scene {
		sets[i] = u.was[m.frames[0].ID].Alike
	}
	return sets
}
