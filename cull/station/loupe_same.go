package station

import (
	"math"

	"garner/cull"
)

const (
	// sizesAlike is by how much the size of a face may differ between two frames of a
	// moment.
	sizesAlike = 1.7
	// farFace is how many of its own sizes away a face counts as wholly elsewhere.
	farFace = 3.0
	// stays is how much better it has to fit that the picture moved than that the face
	// is gone and the others are where they were.
	stays = 0.3
)

// sameFace finds, among the faces of another frame of the moment, the one that is at
// a place here, number n of from. A camera that moved moved all faces alike: what fits
// the others best is believed. -1 = none fits.
func sameFace(from []cull.Face, n int, at cull.Region, to []cull.Face) int {
	best, least := -1, math.Inf(1)
	for i, t := range to {
		if ratio := sizeOfFace(t.Region) / sizeOfFace(at); ratio > sizesAlike || ratio < 1/sizesAlike || math.IsNaN(ratio) {
			continue
		}
		dx, dy := middles(at, t.Region)
		cost := misfit(from, n, dx, dy, to) + min(1, math.Hypot(dx, dy)/(farFace*sizeOfFace(at)))/2
		if cost < least {
			best, least = i, cost
		}
	}
	if best >= 0 && others(from, n) > 0 && misfit(from, n, 0, 0, to)+stays < least {
		return -1
	}
	return best
}

// misfit is how far, 0 to 1, the other faces are from any there if all are moved.
func misfit(from []cull.Face, n int, dx, dy float64, to []cull.Face) float64 {
	if others(from, n) == 0 {
		return 0
	}
	sum := 0.0
	for k, f := range from {
		if k == n {
			continue
		}
		moved := f.Region
		moved.X, moved.Y = moved.X+dx, moved.Y+dy
		near := 1.0
		for _, t := range to {
			x, y := middles(moved, t.Region)
			near = min(near, math.Hypot(x, y)/max(sizeOfFace(f.Region), 1e-6))
		}
		sum += near
	}
	return sum / float64(others(from, n))
}

func others(from []cull.Face, n int) int {
	if n >= 0 && n < len(from) {
		return len(from) - 1
	}
	return len(from)
}

// middles is from the middle of one region to that of another.
func middles(a, b cull.Region) (dx, dy float64) {
	return b.X + b.W/2 - a.X - a.W/2, b.Y + b.H/2 - a.Y - a.H/2
}

func sizeOfFace(r cull.Region) float64 { return max(r.W, r.H) }
