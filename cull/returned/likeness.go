package returned

// The limits of likeness, in bits of a Like. Of 120 drawn frames, what showed one
// whole, however bright, was within 6 bits of it, and 17 or more from those of other
// moments; crops down to 60 % were within 19 and led by 4 or more in nine of ten
// cases, those of half the edges in hardly one of two. Of 171 photographs that have
// nothing to do with a crop none was nearer than 20 (pix.TestCrops). Frames of one
// burst differ by -2 to 2 from the right one: that tells nothing.
const (
	alikeMost = 19.0 // further away nothing is said
	alikeLead = 4.0  // frames that are nearer to the nearest than this may be meant too
	alikeSame = 8.0  // those that are further from it are not
	alikeSure = 17.0 // as near as this a picture may be tied by likeness alone
	unlikely  = 20.0 // as far as this a frame is not supported by its name alone
)

// likeness is what a picture looks like.
type likeness struct {
	near    map[int]float64 // bits, of the frames that were compared and have something in common
	best    float64
	like    set          // the frames that it may show by this; empty = it says nothing
	moments map[int]bool // those of like
	alikes  map[int]bool
}

// verdict is what likeness says to one frame.
type verdict uint8

const (
	silent   verdict = iota // nothing is known, or nothing is near
	supports                // it may be this one, or one of its moment
	against                 // it looks like others
)

func (x *index) likeness(p *Picture) likeness {
	l := likeness{near: map[int]float64{}, best: nothing, moments: map[int]bool{}, alikes: map[int]bool{}}
	for _, k := range p.Likes {
		if f, ok := x.byID[k.Frame]; ok {
			l.near[f] = k.Bits
			l.best = min(l.best, k.Bits)
		}
	}
	if l.best > alikeMost {
		return l
	}
	like := map[int]bool{}
	for f, bits := range l.near {
		if bits < l.best+alikeLead {
			like[f] = true
			l.moments[x.frames[f].Moment] = true
			if a := x.frames[f].Alike; a > 0 {
				l.alikes[a] = true
			}
		}
	}
	l.like = setOf(like)
	return l
}

// nothing is as far as a picture is from a frame that it has nothing in common with.
const nothing = 32.0

func (l *likeness) bits(f int) float64 {
	if b, ok := l.near[f]; ok {
		return b
	}
	return nothing
}

// says is the verdict on a frame.
func (l *likeness) says(x *index, f int) verdict {
	frame := &x.frames[f]
	if !frame.Looked || len(l.like) == 0 {
		return silent
	}
	apart := l.bits(f) - l.best
	switch {
	case apart < alikeLead, l.moments[frame.Moment] && apart < alikeSame:
		return supports
	case l.moments[frame.Moment] || frame.Alike > 0 && l.alikes[frame.Alike]:
		return silent
	case apart < alikeSame:
		return silent
	}
	return against
}

// alone is the frame that likeness names by itself: near, ahead of all others by a
// lead, and not one of a burst, of which the others might be meant as well.
func (l *likeness) alone(x *index) (int, bool) {
	if len(l.like) != 1 || l.best > alikeSure {
		return 0, false
	}
	f := l.like[0]
	for _, g := range x.moments[x.frames[f].Moment] {
		if g != f && (!x.frames[g].Looked || l.bits(g) < l.best+alikeSame) {
			return 0, false
		}
	}
	return f, true
}
