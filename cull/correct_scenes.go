package cull

import "slices"

// letGo takes look-alikes apart. Corrections only ever loosen these bonds, so each
// holds whatever the others say. What came to a set later goes with the moment
// that it follows.
func (r *regroup) letGo(cs []Correction) {
	if !slices.ContainsFunc(cs, func(c Correction) bool { return c.Kind == LetGo }) {
		return
	}
	sets, next := map[int][]int{}, 1
	for n, u := range r.units {
		if u.alike != 0 {
			sets[u.alike] = append(sets[u.alike], n)
		}
		next = max(next, u.alike+1)
	}
	for _, c := range cs {
		if c.Kind != LetGo {
			continue
		}
		listed, hit := map[int]bool{}, map[int]int{}
		var order []int
		for _, i := range r.known(c.Frames) {
			n := int(r.of[i])
			if set := r.units[n].alike; set != 0 && !listed[n] {
				listed[n] = true
				if hit[set]++; hit[set] == 2 {
					order = append(order, set)
				}
			}
		}
		for _, set := range order {
			now, seen := set, false
			for _, n := range sets[set] {
				if listed[n] && seen {
					now, next = next, next+1
				}
				seen = seen || listed[n]
				if now != set {
					r.units[n].alike = now
					sets[now] = append(sets[now], n)
				}
			}
			sets[set] = slices.DeleteFunc(sets[set], func(n int) bool { return r.units[n].alike != set })
		}
	}
}

// scenes finds the moments that begin a scene: those that did, but for what was
// said by hand.
func (r *regroup) scenes(cs []Correction) {
	said := r.saidOfScenes(cs)
	for i := range r.units {
		u := &r.units[i]
		u.begins = i == 0 || u.scene != r.units[i-1].scene
		if by, ok := said[i]; ok && i > 0 {
			u.begins = by == BeginScene
		}
	}
}

// saidOfScenes gives what the last correction about a unit says.
func (r *regroup) saidOfScenes(cs []Correction) map[int]CorrectionKind {
	said := map[int]CorrectionKind{}
	for _, c := range cs {
		if c.Kind != BeginScene && c.Kind != JoinScene {
			continue
		}
		if places := r.known(c.Frames); len(places) > 0 {
			said[int(r.of[places[0]])] = c.Kind
		}
	}
	return said
}
