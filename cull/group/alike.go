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
	faces := make([]face, len(scene))
	var leaders []int // moments that others are compared with, in order
	n := 0
	for i := range scene {
		faces[i] = faceOf(&scene[i])
		for len(leaders) > 0 && !inTime(&scene[leaders[0]], &scene[i], o) {
			leaders = leaders[1:]
		}
		best, least := -1, o.Alike+1
		for _, k := range leaders {
			if d := faces[k].unlike(&faces[i], least-1); d < least {
				best, least = k, d
			}
		}
		if best < 0 {
			leaders = append(leaders, i)
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

// inTime reports whether b came soon enough after a to be a look-alike.
func inTime(a, b *moment, o Options) bool {
	s, t := &a.frames[0].Time, &b.frames[0].Time
	if !s.Known() || !t.Known() {
		return s.Known() == t.Known()
	}
	return t.Wall.Sub(s.Wall) <= o.AlikeWithin
}

// face is what stands for a moment: the frame in its middle and its first one.
type face struct {
	sides [2]side
	n     int
	kind  cull.SeriesKind // of a series that is only like its own kind
}

// side is one frame of a face with what throws out nearly all others at no cost.
type side struct {
	frame         *Frame
	hash          uint64
	light         float64
	columns, rows uint32 // of the profiles, which bars are brighter than the middle
}

func faceOf(m *moment) (f face) {
	if m.series == cull.Panorama || m.series == cull.FocusStack {
		f.kind = m.series
	}
	for _, at := range []int{len(m.frames) / 2, 0} {
		frame := &m.frames[at]
		if !frame.HasFingerprint || at == 0 && f.n > 0 && len(m.frames) == 1 {
			continue
		}
		s := side{frame: frame, hash: frame.Fingerprint, light: frame.Luma}
		if l := frame.Look; l != nil && l.Known() {
			s.columns, s.rows = brighter(&l.Columns), brighter(&l.Rows)
		}
		f.sides[f.n] = s
		f.n++
	}
	return f
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

// unlike is the least distance of two moments' frames, where it is at most limit.
func (f *face) unlike(g *face, limit int) int {
	least := Unknown
	if f.kind != g.kind {
		return least
	}
	for i := range f.n {
		for k := range g.n {
			a, b := &f.sides[i], &g.sides[k]
			if Distance(a.hash, b.hash) <= bitsApart && a.mayBe(b) {
				least = min(least, unlikeWithin(a.frame, b.frame, min(limit, least)))
			}
		}
	}
	return least
}

func (a *side) mayBe(b *side) bool {
	if math.Abs(a.light-b.light) > lightsApart {
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
