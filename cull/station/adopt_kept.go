package station

import "garner/cull"

// adoptCorrected is adopt where groups were corrected by hand. In rare cases what was
// found and what was corrected cannot both hold without moving what was walked past:
// then the order stays as it is, and what arrived comes at its end, until the station
// starts anew.
func adoptCorrected(old, walked, newer cull.Layout, cursor cull.ID, made []cull.Correction) (cull.Layout, int) {
	joined, arrived := adopt(old, walked, newer, cursor)
	if len(made) == 0 || keepsOrder(walked.Places, joined.With(made).Places, cursor) {
		return joined, arrived
	}
	return extend(old, newer), 0
}

// keepsOrder reports whether the frames up to the cursor's stand in the same order as
// before, those of them that are there.
func keepsOrder(walked, now []cull.Place, cursor cull.ID) bool {
	at := make(map[cull.ID]int, len(now))
	for i, p := range now {
		at[p.Frame] = i
	}
	last := -1
	for _, p := range walked {
		if i, there := at[p.Frame]; there {
			if i < last {
				return false
			}
			last = i
		}
		if p.Frame == cursor {
			break
		}
	}
	return true
}

// extend is an order as it was, without what is gone, with what arrived at its end.
func extend(old, newer cull.Layout) cull.Layout {
	place := make(map[cull.ID]cull.Place, len(newer.Places))
	for _, p := range newer.Places {
		place[p.Frame] = p
	}
	out := cull.Layout{Scenes: old.Scenes}
	known := make(map[cull.ID]bool, len(old.Places))
	moment, was := -1, -1
	for _, p := range old.Places {
		known[p.Frame] = true
		n, there := place[p.Frame]
		if !there {
			continue
		}
		if p.Moment != was {
			moment, was = moment+1, p.Moment
		}
		p.Moment, p.Corrected = moment, n.Corrected
		out.Places = append(out.Places, p)
	}
	was = -1
	for _, p := range newer.Places {
		if known[p.Frame] {
			continue
		}
		if p.Moment != was {
			moment, was = moment+1, p.Moment
		}
		p.Moment, p.Alike, p.Scene = moment, 0, max(len(out.Scenes)-1, 0)
		out.Places = append(out.Places, p)
	}
	return out
}
