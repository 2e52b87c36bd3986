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
// Old and newer are without what was corrected by hand, walked is the old order with
// it. What comes of it is corrected anew: it is in the order that is walked already, so
// that corrections find nothing to move there.
//
// A program that starts anew has the newer order as it is.
func adopt(old, walked, newer cull.Layout, cursor cull.ID) (cull.Layout, int) {
	place := make(map[cull.ID]int, len(newer.Places))
	for i, p := range newer.Places {
		place[p.Frame] = i
	}
	here, known := place[cursor]
	if !known || !slices.ContainsFunc(old.Places, func(p cull.Place) bool { return p.Frame == cursor }) {
		return newer, 0
	}
	before := make(map[cull.ID]bool, len(old.Places)) // all of the old order
	for _, p := range old.Places {
		before[p.Frame] = true
	}
	behind := upTo(walked.Places, cursor)
	behind = slices.DeleteFunc(behind, func(id cull.ID) bool { _, ok := place[id]; return !ok })
	order, arrived := weave(behind, newer.Places[:here+1], before)
	past := len(order)
	placed := make(map[cull.ID]bool, len(order))
	for _, id := range order {
		placed[id] = true
	}
	for _, p := range newer.Places {
		if !placed[p.Frame] {
			order = append(order, p.Frame)
		}
	}
	return lay(order, past, old, newer, place), arrived
}

// upTo are the frames up to the end of the moment that holds one: those walked past,
// or in the cursor's moment.
func upTo(places []cull.Place, id cull.ID) []cull.ID {
	var frames []cull.ID
	at := -1
	for i, p := range places {
		if at >= 0 && p.Moment != places[at].Moment {
			break
		}
		frames = append(frames, p.Frame)
		if p.Frame == id {
			at = i
		}
	}
	return frames
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

// lay makes places of an order: neighbours that the newer layout has in one moment are
// in one, of the first past frames also those that the old one has in one, and scenes
// never go back.
func lay(order []cull.ID, past int, old, newer cull.Layout, place map[cull.ID]int) cull.Layout {
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
			if newer.Places[place[before.Frame]].Moment != p.Moment && !(i < past && knewA && knewB && a == b) {
				moment, begin = moment+1, i
			}
			p.Scene = max(p.Scene, before.Scene)
			if i > begin { // one moment is of one kind and in one scene
				p.Kind, p.Series = joined(*before, p)
				p.Scene = before.Scene
				for k := begin; k < i; k++ {
					out.Places[k].Kind, out.Places[k].Series = p.Kind, p.Series
				}
			}
		}
		p.Moment, p.Alike = moment, 0
		out.Places = append(out.Places, p)
	}
	bond(out.Places, past, old, newer)
	return out
}

// joined is the kind of a moment that frames of two kinds make up.
func joined(a, b cull.Place) (cull.MomentKind, cull.SeriesKind) {
	switch {
	case a.Kind == cull.Series && b.Kind == cull.Series && a.Series != b.Series:
		return cull.Series, cull.Together
	case a.Kind == cull.Series:
		return cull.Series, a.Series
	case b.Kind == cull.Series:
		return cull.Series, b.Series
	}
	return cull.Burst, ""
}

// bond makes sets of look-alikes of the moments beside each other that the newer
// layout has in one set, or up to the past-th frame the old one: so all of a set stand
// beside each other, whatever became of their order.
func bond(places []cull.Place, past int, old, newer cull.Layout) {
	was, is := sets(old), sets(newer)
	set, begin := 0, 0 // the last set; the first place of the moment before
	for i := 1; i < len(places); i++ {
		if places[i].Moment == places[i-1].Moment {
			places[i].Alike = places[i-1].Alike
			continue
		}
		a, b := places[i-1].Frame, places[i].Frame
		if places[i].Scene == places[i-1].Scene && (is[a] > 0 && is[a] == is[b] || i < past && was[a] > 0 && was[a] == was[b]) {
			if places[i-1].Alike == 0 {
				set++
				for k := begin; k < i; k++ {
					places[k].Alike = set
				}
			}
			places[i].Alike = places[i-1].Alike
		}
		begin = i
	}
}

// sets leads from a frame to its set of look-alikes.
func sets(l cull.Layout) map[cull.ID]int {
	m := map[cull.ID]int{}
	for _, p := range l.Places {
		if p.Alike > 0 {
			m[p.Frame] = p.Alike
		}
	}
	return m
}
