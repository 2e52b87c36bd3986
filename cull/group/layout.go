package group

import (
	"cmp"
	"slices"

	"garner/cull"
)

// Layout puts frames in order and groups them into moments, look-alikes and
// scenes. It takes time in proportion to n log n.
func Layout(frames []Frame, o Options) cull.Layout {
	o = o.withDefaults()
	ordered := sorted(frames)
	return assemble(moments(ordered, o), o, lookAlikes)
}

// alikes numbers the sets of look-alikes of one scene's moments, from 1; 0 is none.
type alikes func(scene []moment, o Options) []int

// assemble makes a layout of moments in the order of their first frames.
func assemble(ms []moment, o Options, alike alikes) cull.Layout {
	starts := sceneStarts(ms, o)
	n := 0
	for _, m := range ms {
		n += len(m.frames)
	}
	l := cull.Layout{Places: make([]cull.Place, 0, n)}
	sets, number := 0, 0
	for from := 0; from < len(ms); {
		to := from + 1
		for to < len(ms) && !starts[to] {
			to++
		}
		scene := ms[from:to]
		from = to
		id := len(l.Scenes)
		l.Scenes = append(l.Scenes, cull.Scene{ID: id, Name: cull.SceneNumber(id), First: scene[0].frames[0].ID})
		of, n := renumbered(alike(scene, o))
		for _, i := range besideEachOther(of) {
			m := scene[i]
			set := 0
			if of[i] > 0 {
				set = sets + of[i]
			}
			for _, f := range m.frames {
				l.Places = append(l.Places, cull.Place{
					Frame: f.ID, Moment: number, Kind: m.kind, Series: m.series, Alike: set, Scene: id, Corrected: f.Time,
				})
			}
			number++
		}
		sets += n
	}
	return l
}

// renumbered gives sets their numbers in the order of their first moments.
func renumbered(sets []int) (out []int, n int) {
	out = make([]int, len(sets))
	number := map[int]int{}
	for i, set := range sets {
		if set == 0 {
			continue
		}
		if number[set] == 0 {
			number[set] = len(number) + 1
		}
		out[i] = number[set]
	}
	return out, len(number)
}

// besideEachOther orders a scene's moments so that those of a set follow its first
// one; all else stays where it is.
func besideEachOther(sets []int) []int {
	order := make([]int, len(sets))
	first := map[int]int{} // set → index of its first moment
	rank := make([]int, len(sets))
	for i, set := range sets {
		order[i], rank[i] = i, i
		if set == 0 {
			continue
		}
		if _, known := first[set]; !known {
			first[set] = i
		}
		rank[i] = first[set]
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(rank[a], rank[b]) })
	return order
}
