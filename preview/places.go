package preview

import (
	"image"

	"garner/preview/pix"
)

// Tiles are measured at full size with at least and at most so many pixels on a side:
// fewer hold too few edges, more take long and hold what is not in one plane.
const leastTile, mostTile = 160, 256

// Small reports whether the JPEG is so much smaller than the sensor's picture that
// it hides faults of focus: two pixels of blur are less than one in it. Where the
// sensor is not known, any of the last twenty years has more than 2400 pixels on
// the long edge.
func (d *Detail) Small() bool {
	long, sensor := max(d.Width, d.Height), max(d.SensorWidth, d.SensorHeight)
	if sensor <= 0 {
		return long < 2400
	}
	return long*2 < sensor
}

// Subject is the part round the point that the camera noted as its subject; false
// if it noted none.
func (d *Detail) Subject() (image.Rectangle, bool) {
	if d.FocusFrom != FocusCamera {
		return image.Rectangle{}, false
	}
	return d.around(d.Focus, mostTile), true
}

// Tiles are at most n parts of the upright picture with structure, those with the most
// first: the best one of each of 4 by 3 regions. They are chosen in a picture so small
// that a fault of focus hardly changes it, and everywhere, so that the frames of a burst
// have about the same ones, whatever is in focus in each.
func (d *Detail) Tiles(n int) []image.Rectangle {
	scale := hidesBlur
	for scale > 1 && min(d.shown.Dx(), d.shown.Dy()) < scale*leastLook {
		scale /= 2
	}
	m := d.small
	if scale = max(scale, d.scale); scale > d.scale {
		m = pix.Resize(m, max(1, m.Width*d.scale/scale), max(1, m.Height*d.scale/scale))
	}
	across, down := 4, 3
	if d.Width < d.Height {
		across, down = 3, 4
	}
	// In a region all count that have about as much structure as the best, and the most
	// central one of those is taken: which is the best a little blur would change.
	type choice struct {
		at    image.Point
		edge  int
		score float64
		off   int // square of the distance to the middle of the region
	}
	best := make([]choice, across*down)
	var order []int // regions
	for _, s := range pix.Sharpest(m, m.Width*m.Height) {
		mid := s.Min.Add(s.Max).Div(2).Mul(scale)
		at := pix.Upright(mid.Sub(d.shown.Min), d.shown.Dx(), d.shown.Dy(), d.orientation)
		x, y := min(max(at.X*across/d.Width, 0), across-1), min(max(at.Y*down/d.Height, 0), down-1)
		dx, dy := at.X-(2*x+1)*d.Width/(2*across), at.Y-(2*y+1)*d.Height/(2*down)
		c := choice{at, min(max(s.Dx()*scale, leastTile), mostTile), s.Score, dx*dx + dy*dy}
		switch b := &best[y*across+x]; {
		case b.edge == 0:
			*b = c
			order = append(order, y*across+x)
		case c.score >= asGood*b.score && c.off < b.off:
			c.score = b.score
			*b = c
		}
	}
	var out []image.Rectangle
	for _, k := range order[:min(max(n, 0), len(order))] {
		out = append(out, d.around(best[k].at, best[k].edge))
	}
	return out
}

const (
	hidesBlur = 8   // in a picture so many times smaller three pixels of blur are hardly any
	leastLook = 100 // samples on the short side of one in which parts can be chosen
	asGood    = 0.6 // of the best one's structure
)

// around is a square round a point, moved into the picture.
func (d *Detail) around(p image.Point, edge int) image.Rectangle {
	w, h := min(edge, d.Width), min(edge, d.Height)
	x, y := min(max(p.X-w/2, 0), d.Width-w), min(max(p.Y-h/2, 0), d.Height-h)
	return image.Rect(x, y, x+w, y+h)
}
