package group

import (
	"math"
	"math/bits"
	"slices"
)

// lookRound is how many moments of a body before and after a pause are looked at.
const lookRound = 6

// changeAt says how much light and place differ before and after the moment of an
// index begins, from 0, the same, to 1, another place. Each body is compared with
// itself: two photographers who stand in different places all day do not make
// scenes. sure is how much is known that says so, from 0, nothing, to 1.
func changeAt(ms []moment, at int) (change, sure float64) {
	before, after := around(ms, at)
	var sum, known, weight float64
	for body, frames := range before {
		if len(after[body]) == 0 {
			continue
		}
		c, k := difference(surroundings(frames), surroundings(after[body]))
		w := float64(min(len(frames), len(after[body])))
		sum, known, weight = sum+c*k*w, known+k*w, weight+w
	}
	if known == 0 {
		return 0, 0
	}
	return sum / known, known / weight
}

// around gathers, by body, the first frames of the last moments before an index
// and of the first ones from it on.
func around(ms []moment, at int) (before, after map[string][]Frame) {
	before, after = map[string][]Frame{}, map[string][]Frame{}
	take := func(to map[string][]Frame, m moment) {
		if f := m.frames[0]; f.Body != "" && len(to[f.Body]) < lookRound {
			to[f.Body] = append(to[f.Body], f)
		}
	}
	for i := at - 1; i >= max(0, at-4*lookRound); i-- {
		take(before, ms[i])
	}
	for i := at; i < min(len(ms), at+4*lookRound); i++ {
		take(after, ms[i])
	}
	return before, after
}

// light is what one body's frames say of where they were taken. NaN is unknown.
type light struct {
	ev, flash, luma float64
	red, blue       float64 // against green, as logarithms
	focal           float64 // logarithm
	lens            string
	looks           []uint64
}

func surroundings(frames []Frame) light {
	var ev, flash, luma, red, blue, focal []float64
	l := light{lens: frames[0].Lens}
	for _, f := range frames {
		fired := f.Flash != nil && *f.Flash
		if f.Flash != nil {
			flash = append(flash, boolean(fired))
		}
		if f.HasEV && !fired { // with flash it says nothing about the light
			ev = append(ev, f.EV100)
		}
		if f.HasFingerprint {
			luma = append(luma, f.Luma)
			l.looks = append(l.looks, f.Fingerprint)
		}
		if k := f.Look; k != nil && k.Known() && !k.Grey && k.Green > 8 {
			red = append(red, math.Log((float64(k.Red)+4)/(float64(k.Green)+4)))
			blue = append(blue, math.Log((float64(k.Blue)+4)/(float64(k.Green)+4)))
		}
		if f.Focal > 0 {
			focal = append(focal, math.Log(f.Focal))
		}
		if f.Lens != l.lens {
			l.lens = ""
		}
	}
	l.ev, l.flash, l.luma, l.red, l.blue, l.focal = middle(ev), mean(flash), middle(luma), middle(red), middle(blue), middle(focal)
	return l
}

// difference weighs what is known on both sides. A change of one of the strong
// ones, exposure value, flash or colour, is a change; the others only add to it.
// With two of them all is known that can be.
func difference(a, b light) (change, known float64) {
	var strongest, sum, weights float64
	consider := func(x, y, full, w float64) {
		d := math.Abs(x - y)
		if math.IsNaN(d) {
			return
		}
		share := min(1, d/full)
		strongest = max(strongest, share*w)
		sum, weights = sum+share*w, weights+w
	}
	consider(a.ev, b.ev, 3, 1)       // three stops: from a room to a window, or from shade into the sun
	consider(a.flash, b.flash, 1, 1) // all with it against none
	consider(a.red, b.red, 0.35, 0.9)
	consider(a.blue, b.blue, 0.35, 0.9)
	consider(a.luma, b.luma, 0.5, 0.4)
	if a.lens != "" && b.lens != "" {
		consider(boolean(a.lens != b.lens), 0, 1, 0.3)
	}
	if matches(a.looks, b.looks) { // unlike ones say nothing: a scene has many views
		consider(0, 0, 1, 0.6)
	}
	if weights == 0 {
		return 0, 0
	}
	return min(1, 0.75*strongest+0.5*sum/weights), min(1, weights/2)
}

// matches reports whether a picture of the one side looks like one of the other.
func matches(a, b []uint64) bool {
	for _, x := range a {
		for _, y := range b {
			if bits.OnesCount64(x^y) <= sameView {
				return true
			}
		}
	}
	return false
}

// sameView is in how many bits pictures of one view differ at most.
const sameView = 14

func middle(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	return v[len(v)/2]
}

func mean(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

func boolean(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
