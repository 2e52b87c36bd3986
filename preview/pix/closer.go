package pix

// This file tells the right one of pictures that are nearly the same, as those of one
// burst or of one place: the steps in which crops are tried out are coarser than what
// such pictures differ by, so the best crop is moved until it fits.

// closerSteps are how far the edges of a crop are moved, as shares of the step from one
// crop to the next.
var closerSteps = [...]float64{0.5, 0.25, 0.125}

// Closer is Find for several known pictures, with the best crop of each moved until it
// fits. Every crop that was tried out for one of them is for all: where they are alike,
// the query is the same part of each.
func (q Query) Closer(known []Looks) (bits []float64, crops []Crop) {
	c := closer{windows{m: q.m}, map[[4]int32]*Crop{}}
	bits, crops = make([]float64, len(known)), make([]Crop, len(known))
	var tried []*Crop
	for i := range known {
		b, best := q.find(&known[i])
		bits[i], crops[i] = b, entire
		if best == nil {
			continue
		}
		bits[i], best = c.fit(b, best, &known[i])
		crops[i], tried = *best, append(tried, best)
	}
	for i := range known {
		for _, crop := range tried {
			if b := crop.distance(&known[i]); b < bits[i] {
				bits[i], crops[i] = b, *crop
			}
		}
	}
	return bits, crops
}

// closer hashes crops between those of a query. It keeps them: pictures that are alike
// ask for the same ones.
type closer struct {
	p    windows
	seen map[[4]int32]*Crop
}

// fit moves a crop until it fits best.
func (c *closer) fit(bits float64, best *Crop, l *Looks) (float64, *Crop) {
	for _, step := range closerSteps {
		for moved := true; moved; {
			moved = false
			for _, d := range [...][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
				near := c.near(best, d[0]*step, d[1]*step, d[2]*step)
				if near == nil || len(near.Parts) == 0 {
					continue
				}
				if b := near.distance(l); b < bits {
					bits, best, moved = b, near, true
				}
			}
		}
	}
	return bits, best
}

// near is a crop moved and grown by parts of a step; nil where it would be larger than
// the known picture.
func (c *closer) near(of *Crop, x, y, size float64) *Crop {
	grown := 1 + size*(cropRatio-1)
	w, h := of.W*grown, of.H*grown
	if w > 1 || h > 1 {
		return nil
	}
	x, y = of.X+x*cropStep-(w-of.W)/2, of.Y+y*cropStep-(h-of.H)/2
	x, y = min(max(x, 0), 1-w), min(max(y, 0), 1-h)
	const fine = 1 << 12
	at := func(v float64) int32 { return int32(v*fine + 0.5) }
	key := [4]int32{at(x), at(y), at(w), at(h)}
	if had, ok := c.seen[key]; ok {
		return had
	}
	crop := c.p.crop(x, y, w, h)
	c.seen[key] = &crop
	return &crop
}
