package station

import (
	"slices"

	"garner/cull"
)

// adopt joins the order that is being walked with a newer one, so that nothing
// behind the cursor is put into another order under the person's eyes: groups
// there may grow, and frames that arrived stand where they belong. From the
// moment after the cursor's on, the newer order holds. It also returns how many
// frames arrived before the cursor.
//
// A program that starts anew has the newer order as it is.
func adopt(old, newer cull.Layout, cursor cull.ID) (cull.Layout, int) {
	at := slices.IndexFunc(old.Places, func(p cull.Place) bool { return p.Frame == cursor })
	place := make(map[cull.ID]int, len(newer.Places))
	for i, p := range newer.Places {
		place[p.Frame] = i
	}
	here, known := place[cursor]
	if at < 0 || !known {
		return newer, 0
	}
	end := at // of the cursor's moment
	for end+1 < len(old.Places) && old.Places[end+1].Moment == old.Places[at].Moment {
		end++
	}
	walked := make(map[cull.ID]bool, len(old.Places)) // all of the old order
	var behind []cull.ID                              // walked past, or in the cursor's moment
	for i, p := range old.Places {
		walked[p.Frame] = true
		if _, ok := place[p.Frame]; ok && i <= end {
			behind = append(behind, p.Frame)
		}
	}
	order, arrived := weave(behind, newer.Places[:here+1], walked)
	placed := make(map[cull.ID]bool, len(order))
	for _, id := range order {
		placed[id] = true
	}
	for _, p := range newer.Places {
		if !placed[p.Frame] {
			order = append(order, p.Frame)
		}
	}
	return lay(order, old, newer, place), arrived
}

// weave puts the frames that arrived before the cursor after the ones that they
// follow in the newer order, and leaves those behind in theirs.
func weave(behind []cull.ID, newer []cull.Place, walked map[cull.ID]bool) ([]cull.ID, int) {
	isBehind := make(map[cull.ID]bool, len(behind))
	for _, id := range behind {
		isBehind[id] = true
	}
	follow := map[cull.ID][]cull.ID{} // frame behind → those that arrived after it; "" = before all
	last, arrived := cull.ID(""), 0
	for _, p := range newer {
		switch {
		case isBehind[p.Frame]:
			last = p.Frame
		case !walked[p.Frame]:
			follow[last] = append(follow[last], p.Frame)
			arrived++
		}
	}
	order := slices.Clone(follow[""])
	for _, id := range behind {
		order = append(append(order, id), follow[id]...)
	}
	return order, arrived
}

// lay makes places of an order: neighbours that either layout has in one moment
// stay in one, and scenes never go back.
func lay(order []cull.ID, old, newer cull.Layout, place map[cull.ID]int) cull.Layout {
	was := make(map[cull.ID]int, len(old.Places))
	for _, p := range old.Places {
		was[p.Frame] = p.Moment
	}
	out := cull.Layout{Places: make([]cull.Place, 0, len(order)), Scenes: slices.Clone(newer.Scenes)}
	moment, begin := 0, 0
	for i, id := range order {
		p := newer.Places[place[id]]
		if i > 0 {
			before := &out.Places[i-1]
			a, knewA := was[before.Frame]
			b, knewB := was[id]
			if newer.Places[place[before.Frame]].Moment != p.Moment && !(knewA && knewB && a == b) {
				moment, begin = moment+1, i
			}
			p.Scene = max(p.Scene, before.Scene)
			if i > begin { // one moment is of one kind and in one scene
				p.Kind, p.Scene = joined(before.Kind, p.Kind), before.Scene
				for k := begin; k < i; k++ {
					out.Places[k].Kind = p.Kind
				}
			}
		}
		p.Moment = moment
		out.Places = append(out.Places, p)
	}
	return out
}

// joined is the kind of a moment that frames of two kinds make up.
func joined(a, b cull.MomentKind) cull.MomentKind {
	if a == cull.Series || b == cull.Series {
		return cull.Series
	}
	return cull.Burst
}
