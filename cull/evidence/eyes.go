package evidence

import (
	"cmp"
	"math"
	"slices"

	"garner/cull"
)

// The values by which eyes are judged, found on 235 faces of photographs from open
// sources, each looked at: of 14 below closedBelow nine had their eyes closed or
// lowered, one had not (in profile, with glasses), four were too small to tell;
// between it and checkBelow lay about ten, mostly open but narrow; none closed
// above. The value along a burst is a proposal.
const (
	closedBelow   = 0.10 // lid opening by eye width
	checkBelow    = 0.13
	leastPresence = 0.5
	leastApart    = 20 // pixels between the eyes
	profileFrom   = 2  // one eye so many times as wide as the other

	narrowShare = 0.6 // of what the same face has along the burst
	leastAlong  = 3   // frames that tell what it has
)

// Lids are what was measured of a pair of eyes.
type Lids struct {
	Presence    float64    // how sure the mesh is of a face, 0..1
	Right, Left float64    // lid opening by eye width
	Width       [2]float64 // of the right and the left eye, in any unit
	Apart       float64    // distance of the eyes in pixels of the JPEG
}

// State says what can be said of the eyes, and how far the narrower one is open.
func (l Lids) State() (cull.Eyes, float64) {
	opening := min(l.Right, l.Left)
	narrow, wide := min(l.Width[0], l.Width[1]), max(l.Width[0], l.Width[1])
	switch {
	case !(l.Presence >= leastPresence): // also where it is no number
		return cull.EyesFaceUncertain, opening
	case !(l.Apart >= leastApart):
		return cull.EyesTooSmall, opening
	case !(narrow > 0) || wide > profileFrom*narrow:
		return cull.EyesInProfile, opening
	case !(opening >= 0):
		return cull.EyesFaceUncertain, 0
	case opening < closedBelow:
		return cull.EyesClosed, opening
	case opening < checkBelow:
		return cull.EyesCheck, opening
	}
	return cull.EyesOpen, opening
}

// told reports whether something is said of a face's eyes.
func told(f cull.Face) bool {
	return f.Eyes == cull.EyesOpen || f.Eyes == cull.EyesCheck || f.Eyes == cull.EyesClosed
}

// EyesAlong says what can be said of the eyes of every face of the frames of a burst
// beside each other: eyes that are much narrower than those of the same face in the
// other frames are worth a look, whatever they are by themselves.
func EyesAlong(burst []cull.Faces) [][]cull.Eyes {
	out := make([][]cull.Eyes, len(burst))
	openings := map[int][]float64{}
	same := SameFaces(burst)
	for i, f := range burst {
		out[i] = make([]cull.Eyes, len(f.List))
		for k, face := range f.List {
			if out[i][k] = face.Eyes; told(face) && same[i][k] >= 0 {
				openings[same[i][k]] = append(openings[same[i][k]], face.Opening)
			}
		}
	}
	usual := make(map[int]float64, len(openings))
	for person, list := range openings {
		if len(list) >= leastAlong {
			slices.Sort(list)
			usual[person] = median(list)
		}
	}
	for i, f := range burst {
		for k, face := range f.List {
			if face.Eyes == cull.EyesOpen && face.Opening < narrowShare*usual[same[i][k]] {
				out[i][k] = cull.EyesCheck
			}
		}
	}
	return out
}

// How far a face may move from one frame of a burst to the next, in its own widths,
// and how much larger it may get.
const (
	mostMoved = 0.75
	mostGrown = 1.6
)

// SameFaces numbers the faces of the frames of a burst, as they come: those of one
// number stand where one face stood a frame before, or when it was last seen; -1 are those
// beyond cull.MaxFaces. Nobody is recognised: whoever changes places is taken for the
// other.
func SameFaces(burst []cull.Faces) [][]int {
	out := make([][]int, len(burst))
	var last []cull.Region // where each number was seen last
	for i, f := range burst {
		out[i] = make([]int, len(f.List))
		for k := range out[i] {
			out[i][k] = -1
		}
		var pairs []pair
		for k, c := range f.List {
			for n, was := range last {
				if d := moved(was, c.Region, f); d <= mostMoved {
					pairs = append(pairs, pair{k, n, d})
				}
			}
		}
		// The nearest two belong together first.
		slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(a.apart, b.apart) })
		given := make([]bool, len(last))
		for _, p := range pairs {
			if out[i][p.face] < 0 && !given[p.number] {
				out[i][p.face], given[p.number] = p.number, true
			}
		}
		for k, c := range f.List {
			if out[i][k] >= 0 {
				last[out[i][k]] = c.Region
			} else if len(last) < cull.MaxFaces {
				out[i][k], last = len(last), append(last, c.Region)
			}
		}
	}
	return out
}

// pair is a face of a frame, the number of one seen before, and how far it is.
type pair struct {
	face, number int
	apart        float64
}

// moved is how far apart two places are in widths of the face; infinite where they
// cannot be one face's.
func moved(was, is cull.Region, in cull.Faces) float64 {
	aspect := 1.0 // regions are shares of width and height
	if in.Width > 0 && in.Height > 0 {
		aspect = float64(in.Height) / float64(in.Width)
	}
	size := math.Sqrt(was.W * is.W)
	grown := max(was.W, is.W) / min(was.W, is.W)
	d := math.Hypot(was.X+was.W/2-is.X-is.W/2, (was.Y+was.H/2-is.Y-is.H/2)*aspect) / size
	if !(d <= mostMoved) || !(grown <= mostGrown) {
		return math.Inf(1)
	}
	return d
}
