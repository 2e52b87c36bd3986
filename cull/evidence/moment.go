package evidence

import (
	"fmt"
	"math"

	"garner/cull"
)

// Measured is one frame of a moment with what was measured of it.
type Measured struct {
	ID       cull.ID
	Measures cull.Measures
}

// Rung is what the measurements say of one frame of a moment. They never decide.
type Rung struct {
	ID       cull.ID
	Measured bool // there is a measurement of focus
	Sharpest bool // both measures of focus agree that it is the sharpest of its moment
	Soft     bool // its edges are blurred, whatever the others are
	Small    bool // the embedded JPEG is too small to judge focus by
	Eyes     EyesOf
}

// EyesOf counts the faces of a frame by what can be said of their eyes.
type EyesOf struct{ Faces, Open, Check, Closed, Silent int }

// Moment is what the measurements say of the frames of a moment beside each other.
type Moment struct {
	Rungs     []Rung  // in the order given
	Sharpest  cull.ID // "" = none is named
	Favourite cull.ID // the sharpest of those with the fewest closed eyes; "" = none is named
	Why       string  // why one is named, or why none is: a sentence for people, lower case
}

// Compare holds the frames of a moment against each other. Which of them is named does
// not depend on their order; eyes are followed from frame to frame in the order given.
func Compare(in []Measured) Moment {
	m := Moment{Rungs: make([]Rung, 0, len(in))}
	faces := make([]cull.Faces, len(in))
	for i, f := range in {
		faces[i] = f.Measures.Faces
	}
	eyes := EyesAlong(faces)
	for i, f := range in {
		r := Rung{ID: f.ID, Measured: f.Measures.Focus.Known(), Eyes: countEyes(eyes[i])}
		r.Small = r.Measured && f.Measures.Focus.Small
		s, _ := Judged(f.Measures)
		r.Soft = r.Measured && !r.Small && s.Blur > SoftFrom
		m.Rungs = append(m.Rungs, r)
	}
	best, why := sharpest(in, m.Rungs)
	if m.Why = why; best >= 0 {
		m.Rungs[best].Sharpest = true
		m.Sharpest = in[best].ID
	}
	m.Favourite = favourite(in, m.Rungs, m.Sharpest)
	return m
}

func countEyes(eyes []cull.Eyes) (n EyesOf) {
	for _, e := range eyes {
		n.Faces++
		switch e {
		case cull.EyesOpen:
			n.Open++
		case cull.EyesCheck:
			n.Check++
		case cull.EyesClosed:
			n.Closed++
		default:
			n.Silent++
		}
	}
	return n
}

// sharpest is the number of the frame that is sharper than every other one, -1 if
// there is none, and why.
func sharpest(in []Measured, rungs []Rung) (int, string) {
	measured, small := 0, 0
	for _, r := range rungs {
		if r.Measured {
			measured++
		}
		if r.Small {
			small++
		}
	}
	switch n := len(in); {
	case measured == 0:
		return -1, "not measured yet"
	case n == 1:
		return -1, "there is nothing to compare it with"
	case measured < n:
		return -1, fmt.Sprintf("%d of %d frames are measured", measured, n)
	case small == n:
		f := in[0].Measures.Focus
		return -1, fmt.Sprintf("the embedded JPEGs are too small to judge focus by: %d pixels across", max(f.Width, f.Height))
	case small > 0:
		return -1, fmt.Sprintf("in %d of %d frames the embedded JPEG is too small to judge focus by", small, n)
	}
	// Whoever is sharper than all others comes out of this, wherever it stands.
	best := 0
	for i := range in {
		if i != best && compare(&in[i].Measures, &in[best].Measures).sharper() {
			best = i
		}
	}
	next := verdict{energy: math.Inf(1)}
	var not reason
	for i := range in {
		if i == best {
			continue
		}
		v := compare(&in[best].Measures, &in[i].Measures)
		if !v.sharper() {
			not |= v.reason()
			continue
		}
		if v.energy+v.edge < next.energy+next.edge {
			next = v
		}
	}
	if not != 0 {
		return -1, tooClose(in, best)
	}
	return best, "sharpest by both measures: " + next.words()
}

// mostPairs bounds the frames of which every pair is looked at to say why none is
// named.
const mostPairs = 24

// tooClose says why none is named. It looks at all pairs, so that it says the same in
// every order.
func tooClose(in []Measured, best int) string {
	if len(in) > mostPairs {
		return "too close to call"
	}
	beaten := make([]bool, len(in))
	reasons := map[[2]int]reason{}
	for i := range in {
		for k := range i {
			switch v := compare(&in[i].Measures, &in[k].Measures); {
			case v.sharper():
				beaten[k] = true
			case v.turned().sharper():
				beaten[i] = true
			default:
				reasons[[2]int{i, k}] = v.reason()
			}
		}
	}
	var all reason
	top := 0
	for i := range in {
		if !beaten[i] {
			top++
		}
		for k := range i {
			if !beaten[i] && !beaten[k] {
				all |= reasons[[2]int{i, k}]
			}
		}
	}
	which := ""
	if top > 1 && top < len(in) {
		which = fmt.Sprintf(" between %d of %d frames", top, len(in))
	}
	return "too close to call" + which + all.words()
}

// favourite is the sharpest of the frames with the fewest closed eyes. Where nobody
// looked for faces, or all frames are alike in that, it is the sharpest.
func favourite(in []Measured, rungs []Rung, sharpestOfAll cull.ID) cull.ID {
	fewest := math.MaxInt
	for i, f := range in {
		if !f.Measures.Faces.Known() {
			return sharpestOfAll
		}
		fewest = min(fewest, rungs[i].Eyes.Closed)
	}
	var open []Measured
	var theirs []Rung
	for i, f := range in {
		if rungs[i].Eyes.Closed == fewest {
			open, theirs = append(open, f), append(theirs, rungs[i])
		}
	}
	if len(open) == len(in) {
		return sharpestOfAll
	}
	if len(open) == 1 {
		// It stands alone, so that nothing has to be sharper; but it must not be known to be
		// blurred, nor must nothing be known of it.
		if r := theirs[0]; r.Measured && !r.Small && !r.Soft {
			return open[0].ID
		}
		return ""
	}
	if best, _ := sharpest(open, theirs); best >= 0 {
		return open[best].ID
	}
	return ""
}
