package match

import (
	"cmp"
	"maps"
	"slices"

	"garner/cull"
	"garner/cull/group"
)

// tracksOf parts frames by body, the largest first.
func tracksOf(frames []group.Frame) []*track {
	by := map[string][]group.Frame{}
	for _, f := range frames {
		if f.Body != "" && f.Time.Known() && f.HasFingerprint {
			by[f.Body] = append(by[f.Body], f)
		}
	}
	var out []*track
	for _, body := range slices.Sorted(maps.Keys(by)) {
		if len(by[body]) >= least {
			out = append(out, newTrack(body, by[body]))
		}
	}
	slices.SortStableFunc(out, func(a, b *track) int { return cmp.Compare(len(b.frames), len(a.frames)) })
	return out
}

// Reference is the body whose clock Find takes as right unless it is told; "" where
// nothing can be compared.
func Reference(frames []group.Frame) string {
	if tracks := tracksOf(frames); len(tracks) > 0 {
		return tracks[reference(tracks, "")].body
	}
	return ""
}

// reference chooses the body whose clock is taken as right: the one asked for, else
// of those with a fair share of the frames the one whose clock was not seen to be
// set during the day, that knows its zone, that has most frames.
func reference(tracks []*track, asked string) int {
	best, rank := 0, -1
	for i, t := range tracks {
		if t.body == asked {
			return i
		}
		if 3*len(t.frames) < len(tracks[0].frames) {
			continue
		}
		r := 0
		if t.steady() {
			r += 2
		}
		if t.zoned() {
			r++
		}
		if r > rank {
			best, rank = i, r
		}
	}
	return best
}

// steady reports that the clock was never seen to go back.
func (t *track) steady() bool {
	for i := 1; i < len(t.at); i++ {
		if t.at[i] < t.at[i-1]-backwards {
			return false
		}
	}
	return true
}

// zoned reports that most frames know their zone.
func (t *track) zoned() bool {
	n := 0
	for _, f := range t.frames {
		if f.Time.ZoneIs == cull.ZoneKnown || f.Time.ZoneIs == cull.ZoneSet {
			n++
		}
	}
	return 2*n > len(t.frames)
}
