package group

import (
	"math"
	"math/bits"

	"garner/cull"
)

// lookAlikes returns the set of look-alikes that each moment of a scene belongs
// to, numbered from 1, 0 for none. A moment joins the set whose first moment it is
// nearest to, in likeness, if it is near enough and came soon enough: bounded by
// its first moment, no set runs away.
//
// It is strict, since a bond changes the order in which a person walks: another
// pose counts as alike where the framing is the same. Panoramas and focus stacks
// are only like their own kind.
func lookAlikes(scene []moment, o Options) []int {
	sets := make([]int, len(scene))
	var first []side // of the moments that others are compared with, in order
	n := 0
	for i := range scene {
		for len(first) > mostCompared || len(first) > 0 && !inTime(&scene[first[0].moment], &scene[i], o) {
			first = first[1:]
		}
		sides, some := sidesOf(&scene[i], i)
		best := nearest(first, sides[:some], o)
		if best < 0 {
			first = append(first, sides[:some]...)
			continue
		}
		if sets[best] == 0 {
			n++
			sets[best] = n
		}
		sets[i] = sets[best]
	}
	return sets
}

// mostCompared bounds what a moment is compared with. Hardly anybody sees a thousand
// different things in a quarter of an hour.
const mostCompared = 1000

// nearest is the moment of which a side is nearest to one of these, the earliest
// where several are, or -1 if none is near.
func nearest(first, sides []side, o Options) int {
	best, least := -1, o.Alike+1
	for k := range sides {
		b := &sides[k]
		for i := range first {
			a := &first[i]
			if Distance(a.hash, b.hash) > bitsApart || !a.mayBe(b) {
				continue
			}
			if d := unlikeWithin(a.frame, b.frame, least); d < least || d == least && a.moment < best {
				best, least = a.moment, d
			}
		}
	}
	return best
}

// inTime reports whether b came soon enough after a to be a look-alike.
func inTime(a, b *moment, o Options) bool {
	s, t := &a.frames[0].Time, &b.frames[0].Time
	if !s.Known() || !t.Known() {
		return s.Known() == t.Known()
	}
	return t.Wall.Sub(s.Wall) <= o.AlikeWithin
}

// side is a frame that stands for a moment, with what throws out nearly all others
// at no cost.
type side struct {
	hash          uint64
	moment        int // its index in the scene
	frame         *Frame
	light         float64
	columns, rows uint32          // of the profiles, which bars are brighter than the middle
	kind          cull.SeriesKind // of a series that is only like its own kind
}

// sidesOf are the frame in the middle of a moment and its first one, as far as
// anybody saw them.
func sidesOf(m *moment, at int) (sides [2]side, n int) {
	middle := len(m.frames) / 2
	for k, f := range []*Frame{&m.frames[middle], &m.frames[0]} {
		if !f.HasFingerprint || k > 0 && middle == 0 {
			continue
		}
		s := side{hash: f.Fingerprint, moment: at, frame: f, light: f.Luma}
		if l := f.Look; l != nil && l.Known() {
			s.columns, s.rows = brighter(&l.Columns), brighter(&l.Rows)
		}
		if m.series == cull.Panorama || m.series == cull.FocusStack {
			s.kind = m.series
		}
		sides[n] = s
		n++
	}
	return sides, n
}

// brighter has a bit for each bar above the mean.
func brighter(bars *[cull.LookBars]uint8) (out uint32) {
	sum := 0
	for _, v := range bars {
		sum += int(v)
	}
	for i, v := range bars {
		if int(v)*cull.LookBars > sum {
			out |= 1 << i
		}
	}
	return out
}

// The first tests of two frames: what may be alike differs in at most so many bits
// of a fingerprint (of views that moved by a tenth of the frame, nine of ten differ
// in no more), in so much brightness, and in so many bright bars after one profile
// is moved by up to barsMoved over the other.
const (
	bitsApart   = 26
	lightsApart = 0.2
	barsApart   = 7
	barsMoved   = 5
)

func (a *side) mayBe(b *side) bool {
	if a.kind != b.kind || math.Abs(a.light-b.light) > lightsApart {
		return false
	}
	return !looked(a.frame, b.frame) || barsFit(a.columns, b.columns) && barsFit(a.rows, b.rows)
}

func barsFit(a, b uint32) bool {
	all := ^uint32(0)
	for s := range barsMoved + 1 {
		if bits.OnesCount32((a>>s^b)&(all>>s)) <= barsApart || bits.OnesCount32((b>>s^a)&(all>>s)) <= barsApart {
			return true
		}
	}
	return false
}
