package face

import (
	"cmp"
	"math"
	"slices"
)

// The full-range detector as MediaPipe's graphs run it
// (modules/face_detection/face_detection_full_range_common.pbtxt and _gpu.pbtxt):
// 192 pixels a side, channels of -1..1, one layer of anchors with a stride of 4, one
// anchor of a fixed size, that of the whole input, in the middle of each cell.
const (
	finderSide   = 192
	finderStride = 4
	finderCells  = finderSide / finderStride
	finderBoxes  = finderCells * finderCells
	finderCoords = 16  // middle, size and six points, x before y
	logitLimit   = 100 // score_clipping_thresh
)

var finderInput = input{finderSide, 2.0 / 255, -1}

// sigmoid is 0 for what is no number.
func sigmoid(v float32) float64 {
	if v != v {
		return 0
	}
	return 1 / (1 + math.Exp(-min(max(float64(v), -logitLimit), logitLimit)))
}

// mostOfRun bounds how many anchors of one run count, so that nonsense from a network
// costs no time. A face has about ten.
const mostOfRun = 512

// decode reads faces from what the detector gives, in pixels of its input; the
// surest come first. What is not a box or lies off the input is left out.
func decode(coords, scores []float32, least float64) []Found {
	var out []Found
	for i := range min(finderBoxes, len(scores), len(coords)/finderCoords) {
		score := sigmoid(scores[i])
		if score < least {
			continue
		}
		if f, ok := box(coords[i*finderCoords:][:finderCoords], i); ok {
			f.Score = score
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b Found) int { return cmp.Compare(b.Score, a.Score) })
	return out[:min(len(out), mostOfRun)]
}

// box is what one anchor says. Offsets are in pixels of the input, since the anchor
// has the input's size.
func box(v []float32, anchor int) (Found, bool) {
	x := (float64(anchor%finderCells) + 0.5) * finderStride
	y := (float64(anchor/finderCells) + 0.5) * finderStride
	w, h := float64(v[2]), float64(v[3])
	f := Found{X: x + float64(v[0]) - w/2, Y: y + float64(v[1]) - h/2, W: w, H: h}
	for i := range f.Points {
		f.Points[i] = Point{x + float64(v[4+2*i]), y + float64(v[5+2*i])}
	}
	return f, w >= 1 && h >= 1 && f.sane(finderSide, finderSide)
}

// sane reports whether a face can be one of a w by h picture: its middle inside, not
// larger than twice the picture, neither edge beyond four times the other, and the
// points near it.
func (f Found) sane(w, h float64) bool {
	mid := f.middle()
	if !(mid.X >= 0 && mid.Y >= 0 && mid.X <= w && mid.Y <= h) {
		return false
	}
	long, short := max(f.W, f.H), min(f.W, f.H)
	if !(short > 0 && long <= 2*max(w, h) && long <= 4*short) {
		return false
	}
	for _, p := range f.Points {
		if !p.sub(mid).within(2 * long) {
			return false
		}
	}
	return true
}

func (f Found) middle() Point { return Point{f.X + f.W/2, f.Y + f.H/2} }
