package evidence

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"garner/cull"
)

// This file compares the sharpness of two frames by the parts that both show.

// SoftFrom and SharpUpTo are the blur of edges, in pixels at full size, from which a
// part counts as soft and up to which as sharp. Between them nothing is said.
const (
	SoftFrom  = 2.1
	SharpUpTo = 1.7
)

// What two measures must differ by, as natural logarithms, until one frame is called
// sharper: by about 16 and 8 percent. Frames that are equally sharp differ by less in
// both at once in 98 and more of 100 pairs (noise of 2 to 8, raw or smoothed by the
// camera, a face that moves by 2 to 5 percent of its size, 0.15 EV either way); a blur
// of 1.6 px beside one of 1.1 goes beyond both in 79 to 100 of them. The test of
// preview/pix that tries bursts has the table.
const (
	leastEnergy = 0.15
	leastEdge   = 0.08
)

const (
	// finest is the blur in pixels below which edges count as equally sharp: the pixels
	// themselves do no better.
	finest = 0.6
	// leastOverlap is what two parts have in common, of what both cover together, to show
	// the same.
	leastOverlap = 0.4
	// leastWeight and leastVote are the weight, of that of the heaviest, from which a part
	// counts at all, and from which one that says the opposite is heard.
	leastWeight = 1. / 16
	leastVote   = 1. / 4
	// mostCloser is how many times as large a face may be in one of two frames. What is
	// larger has wider edges at the same focus: of equally sharp faces that are 1.2 and 1.5
	// times as large one was named in 14 to 44 of 100 pairs, mostly the smaller one, up to
	// 1.1 times in 2. Boxes that are found in the bursts of the demo differ by less than 1.1 in 95
	// of 100 pairs, and by 1.15 in 1 to 2.
	mostCloser = 1.15
)

// Judged is the part by which a frame by itself is called sharp or soft, and where that
// is: the sharpest of where the camera focused and of the faces that are not much
// smaller than the largest; if there is neither, the sharpest part. It is not known
// where there are no edges to judge by.
func Judged(m cull.Measures) (cull.Sharpness, string) {
	var best cull.Sharpness
	where := ""
	take := func(s cull.Sharpness, at string) {
		if s.Known() && s.Blur > 0 && (where == "" || s.Blur < best.Blur) {
			best, where = s, at
		}
	}
	largest := 0.0
	for _, f := range m.Faces.List {
		largest = max(largest, f.W*f.H)
	}
	for i, f := range m.Faces.List {
		if f.W*f.H >= largest/4 {
			at := "largest face"
			if i > 0 {
				at = fmt.Sprintf("face %d of %d", i+1, len(m.Faces.List))
			}
			take(f.Sharpness, at)
		}
	}
	for _, s := range m.Focus.Spots {
		if s.By == cull.BySubject {
			take(s.Sharpness, "where the camera focused")
		}
	}
	if where == "" {
		for _, s := range m.Focus.Spots {
			take(s.Sharpness, "sharpest part")
		}
	}
	return best, where
}

// verdict is how much sharper one frame is than another, as natural logarithms.
type verdict struct {
	energy, edge float64
	edges        [2]float64 // the blur in pixels that says it, of the one and the other
	parts        int        // how many were compared; 0 = the two have none in common
	split        bool       // in one of them it is the other way round
	faces        bool       // they are faces
	closer       bool       // one of the two was taken from closer by, or zoomed
}

// sharper reports whether the one is.
func (v verdict) sharper() bool {
	return v.parts > 0 && !v.split && v.energy >= leastEnergy && v.edge >= leastEdge
}

func (v verdict) turned() verdict {
	v.energy, v.edge = -v.energy, -v.edge
	return v
}

func (v verdict) words() string {
	where := ""
	switch {
	case v.faces && v.parts > 1:
		where = fmt.Sprintf(" on %d faces", v.parts)
	case v.faces:
		where = " on the face"
	}
	return fmt.Sprintf("edges%s %s against %s of the next, fine structure %.0f %% more", where, blurWords(v.edges[0]), blurWords(v.edges[1]), 100*(math.Exp(v.energy)-1))
}

// blurWords is a blur for people. Less than a third of a pixel was made by sharpening.
func blurWords(px float64) string {
	if px < 0.3 {
		return "under 0.3 px"
	}
	return fmt.Sprintf("%.1f px", px)
}

// reason says why one of two is not called sharper; several may stand together.
type reason uint8

const (
	alike reason = 1 << iota
	disagree
	elsewhere
	apart
	closer
)

func (v verdict) reason() reason {
	switch {
	case v.closer:
		return closer
	case v.parts == 0:
		return apart
	case v.split:
		return elsewhere
	case v.energy >= leastEnergy && v.edge <= -leastEdge, v.energy <= -leastEnergy && v.edge >= leastEdge:
		return disagree
	}
	return alike
}

func (r reason) words() string {
	var out []string
	if r&alike != 0 {
		out = append(out, "the differences may be chance")
	}
	if r&elsewhere != 0 {
		out = append(out, "they are sharp in different places")
	}
	if r&disagree != 0 {
		out = append(out, "the two measures disagree")
	}
	if r&apart != 0 {
		out = append(out, "they show nothing in common that could be measured")
	}
	if r&closer != 0 {
		out = append(out, "they show the faces at different sizes")
	}
	if len(out) == 0 {
		return ""
	}
	return ": " + strings.Join(out, ", or ")
}

// compare holds the parts of two frames against each other: where the camera focused, if
// that is the same place in both; else the faces that stand in the same place; else the
// parts with structure that do.
func compare(a, b *cull.Measures) verdict {
	if a.Focus.Width != b.Focus.Width || a.Focus.Height != b.Focus.Height {
		return verdict{}
	}
	spots := func(m *cull.Measures, by cull.SpotBy) (out []part) {
		for _, s := range m.Focus.Spots {
			if s.By == by {
				out = append(out, part{s.Region, s.Sharpness})
			}
		}
		return out
	}
	faces := func(m *cull.Measures) (out []part) {
		for _, f := range m.Faces.List {
			out = append(out, part{f.Region, f.Sharpness})
		}
		return out
	}
	same := match(faces(a), faces(b))
	if takenCloser(same) {
		return verdict{closer: true}
	}
	if v := weigh(match(spots(a, cull.BySubject), spots(b, cull.BySubject)), evenly); v.parts > 0 {
		return v
	}
	if v := weigh(same, bySize); v.parts > 0 {
		v.faces = true
		return v
	}
	ours, theirs := spots(a, cull.ByTile), spots(b, cull.ByTile)
	pairs := match(ours, theirs)
	v := weigh(pairs, evenly)
	v.split = v.split || v.energy > 0 && asSharpElsewhere(theirs, ours, pairs) || v.energy < 0 && asSharpElsewhere(ours, theirs, pairs)
	return v
}

// asSharpElsewhere reports whether a frame has, where nothing of the other was measured,
// a part as sharp as any of the other's: what it has in focus lies elsewhere.
func asSharpElsewhere(parts, other []part, pairs [][2]part) bool {
	sharpest := math.Inf(1)
	for _, p := range other {
		if p.hasEdges() {
			sharpest = min(sharpest, max(p.Edge, finest))
		}
	}
	return slices.ContainsFunc(parts, func(p part) bool {
		paired := slices.ContainsFunc(pairs, func(q [2]part) bool { return q[0].Region == p.Region || q[1].Region == p.Region })
		return !paired && p.hasEdges() && math.Log(max(p.Edge, finest)/sharpest) < leastEdge
	})
}

// part is a place with what was measured there.
type part struct {
	cull.Region
	cull.Sharpness
}

// hasEdges reports whether its blur is known. More than a thousand pixels was not measured.
func (p part) hasEdges() bool { return p.Edge > 0 && p.Edge < 1000 }

// match pairs the parts of two frames that have edges and lie in the same place: each
// the best of the other.
func match(a, b []part) (out [][2]part) {
	for i, p := range a {
		k, o := nearest(p, b)
		if k < 0 || o < leastOverlap {
			continue
		}
		if back, _ := nearest(b[k], a); back == i && p.hasEdges() && b[k].hasEdges() {
			out = append(out, [2]part{p, b[k]})
		}
	}
	return out
}

func nearest(p part, in []part) (best int, most float64) {
	best = -1
	for i, o := range in {
		if v := overlap(p.Region, o.Region); best < 0 || v > most {
			best, most = i, v
		}
	}
	return best, most
}

// overlap is what two regions have in common of what they cover together, 0..1.
func overlap(a, b cull.Region) float64 {
	w := min(a.X+a.W, b.X+b.W) - max(a.X, b.X)
	h := min(a.Y+a.H, b.Y+b.H) - max(a.Y, b.Y)
	if !(w > 0 && h > 0) {
		return 0
	}
	if v := w * h / (a.W*a.H + b.W*b.H - w*h); v >= 0 && v < 1.01 {
		return v
	}
	return 0 // of sizes that cannot be
}

// takenCloser reports whether the largest face that both frames show is larger in one of
// them, so that edges are wider there at the same focus.
func takenCloser(pairs [][2]part) bool {
	largest, times := 0.0, 1.0
	for _, p := range pairs {
		small, large := bySize(p[0]), bySize(p[1])
		if small > large {
			small, large = large, small
		}
		if small > largest {
			largest, times = small, large/small
		}
	}
	return times > mostCloser*mostCloser
}

func evenly(part) float64 { return 1 }

// bySize makes the largest faces count most.
func bySize(p part) float64 { return p.W * p.H }

// weigh makes one verdict of pairs of parts. Those that are sharp in neither frame are
// not what was focused on, and count for little.
func weigh(pairs [][2]part, size func(part) float64) (v verdict) {
	weights := make([]float64, len(pairs))
	most := 0.0
	for i, p := range pairs {
		blur := max(min(p[0].Edge, p[1].Edge), finest)
		weights[i] = min(size(p[0]), size(p[1])) / (blur * blur * blur * blur)
		most = max(most, weights[i])
	}
	if !(most > 0) {
		return verdict{}
	}
	var sum, heaviest float64
	var votes []verdict
	for i, p := range pairs {
		w := weights[i]
		if !(w >= leastWeight*most) {
			continue
		}
		one := verdict{energy: logRatio(p[0].Energy, p[1].Energy, leastStructure), edge: logRatio(p[1].Edge, p[0].Edge, finest)}
		v.energy += w * one.energy
		v.edge += w * one.edge
		sum += w
		v.parts++
		if w > heaviest {
			heaviest, v.edges = w, [2]float64{p[0].Edge, p[1].Edge}
		}
		if w >= leastVote*most {
			one.parts = 1
			votes = append(votes, one)
		}
	}
	v.energy, v.edge = v.energy/sum, v.edge/sum
	for _, one := range votes {
		if v.energy > 0 && one.turned().sharper() || v.energy < 0 && one.sharper() {
			v.split = true
		}
	}
	return v
}

// leastStructure is the energy below which there is hardly any.
const leastStructure = 1e-6

func logRatio(a, b, least float64) float64 {
	const most = 3
	v := math.Log(max(a, least) / max(b, least))
	if math.IsNaN(v) {
		return 0
	}
	return min(max(v, -most), most)
}
