package group

import (
	"math"

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

// face is what stands for a moment: its first frame and the one in its middle.
type face struct {
	frames [2]*Frame
	kind   cull.SeriesKind // of a series that is only like its own kind
	light  float64         // mean level; NaN = unknown
}

func faceOf(m *moment) face {
	f := face{frames: [2]*Frame{&m.frames[len(m.frames)/2], &m.frames[0]}, light: math.NaN()}
	if m.series == cull.Panorama || m.series == cull.FocusStack {
		f.kind = m.series
	}
	if first := f.frames[0]; first.HasFingerprint {
		f.light = first.Luma
	}
	return f
}

// The first test of two moments costs next to nothing and throws out nearly all:
// what may be alike differs in at most so many bits of a fingerprint (a view that
// moved by a tenth of the frame in 28 at most), and of the brightness.
const (
	mayBeAlike  = 28
	lightsApart = 0.25
)

// unlike is the least distance of two moments' frames, where it is at most limit.
func (f *face) unlike(g *face, limit int) int {
	if f.kind != g.kind || math.Abs(f.light-g.light) > lightsApart {
		return Unknown
	}
	least := Unknown
	for i, a := range f.frames {
		for k, b := range g.frames {
			if i > 0 && a == f.frames[0] || k > 0 && b == g.frames[0] {
				continue // the moment is a single frame
			}
			if !a.HasFingerprint || !b.HasFingerprint || Distance(a.Fingerprint, b.Fingerprint) > mayBeAlike {
				continue
			}
			if d := unlikeWithin(a, b, min(limit, least)); d < least {
				least = d
			}
		}
	}
	return least
}
