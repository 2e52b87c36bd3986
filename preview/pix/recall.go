package pix

import (
	"math"

	"garner/preview/jpeg"
)

// This file finds the picture that another one was cropped from. Which part of it the
// crop shows is tried out: for each place and size the windows of PartOf that would
// lie whole in the crop are hashed there. So a known picture is compared by some
// thousand differences of 64 bits, and nothing but its Looks has to be at hand.

// Query is a picture that is looked for among known ones of one shape.
type Query struct {
	m     *jpeg.Image // at the size of a thumbnail
	crops []Crop
}

// Crop is what the query would hold of a known picture's windows if it showed one part
// of it.
type Crop struct {
	X, Y, W, H float64 // the part, as shares of the known picture
	Parts      []Part
	weight     float64 // how much a difference from Unrelated counts: more, the more windows
}

// Part is the hash that a window would have.
type Part struct {
	Index int // as of PartOf
	Hash  uint64
}

// Share is that of the known picture's width or height, whichever is greater.
func (c *Crop) Share() float64 { return max(c.W, c.H) }

// Bits weighs the mean distance of the windows: the fewer those are, the nearer to
// Unrelated it is brought.
func (c *Crop) Bits(mean float64) float64 { return Unrelated - (Unrelated-mean)*c.weight }

// distance is how unlike the crop and a known picture are.
func (c *Crop) distance(l *Looks) float64 {
	sum := 0
	for _, p := range c.Parts {
		sum += Distance(p.Hash, l.Parts[p.Index])
	}
	return c.Bits(float64(sum) / float64(len(c.Parts)))
}

const (
	cropSmallest = 0.45 // share of the width and height that a crop has at least
	cropRatio    = 1.06 // from one size to the next: half of that is off at most
	cropStep     = 0.03 // from one place to the next, as a share of the known picture
	cropOver     = 0.02 // share of the crop by which a window may reach out of it
)

// NewQuery prepares an upright picture to be looked for among known ones whose width
// is aspect times their height. It may be cropped, to another shape too, made larger
// or smaller, edited in brightness and coded anew; not turned and not stretched.
func NewQuery(m *jpeg.Image, aspect float64) (Query, error) {
	if !m.Valid() || !(aspect > 0) || math.IsInf(aspect, 0) {
		return Query{}, jpeg.FormatError("no picture to look for")
	}
	p := &windows{m: Fit(m, ThumbEdge)}
	// Pixels stay square: the shapes give how wide the crop is for its height.
	wider := float64(m.Width) / float64(m.Height) / aspect
	q := Query{m: p.m}
	for size := 1.0; size > cropSmallest/cropRatio; size /= cropRatio {
		w, h := size*min(wider, 1), size/max(wider, 1)
		if min(w, h) < cropSmallest/cropRatio {
			break
		}
		for _, y := range places(h) {
			for _, x := range places(w) {
				if c := p.crop(x, y, w, h); len(c.Parts) > 0 {
					q.crops = append(q.crops, c)
				}
			}
		}
	}
	return q, nil
}

// places are where a crop of a size may begin.
func places(size float64) []float64 {
	n := int(math.Ceil((1-size)/cropStep - 1e-9))
	out := []float64{0}
	for i := range n {
		out = append(out, (1-size)*float64(i+1)/float64(n))
	}
	return out
}

// crop hashes what of the windows lies in the crop of a known picture that is given
// as shares of it.
func (p *windows) crop(x, y, w, h float64) Crop {
	c := Crop{X: x, Y: y, W: w, H: h}
	var s square
	for i := range LookParts {
		px, py, size := PartOf(i)
		left, top, right, low := (px-x)/w, (py-y)/h, (px-x+size)/w, (py-y+size)/h
		if min(left, top) < -cropOver || max(right, low) > 1+cropOver {
			continue
		}
		left, top, right, low = max(left, 0), max(top, 0), min(right, 1), min(low, 1)
		p.fill(&s, left, top, right-left, low-top)
		c.Parts = append(c.Parts, Part{i, s.hash()})
	}
	c.weight = math.Pow(float64(len(c.Parts))/LookParts, 0.25)
	return c
}

// Unrelated is about how far two hashes of pictures that have nothing to do with each
// other are apart, in bits: half of them.
const Unrelated = 32

// Distance tells how unlike the query and every crop of a known picture are: in bits
// of 64 on the mean of the windows that the best crop holds, nearer to Unrelated the
// fewer those are. Unrelated itself is returned if the query can be no crop of it.
func (q Query) Distance(l Looks) float64 {
	bits, _ := q.Find(l)
	return bits
}

// Find is Distance with the best crop; all of the known picture if the query can be no
// crop of it.
func (q Query) Find(l Looks) (bits float64, crop Crop) {
	bits, best := q.find(&l)
	if best == nil {
		return bits, entire
	}
	return bits, *best
}

// entire is all of a known picture.
var entire = Crop{W: 1, H: 1}

// find returns the best crop; nil if the query can be no crop of it.
func (q Query) find(l *Looks) (bits float64, best *Crop) {
	bits = Unrelated
	for i := range q.crops {
		if d := q.crops[i].distance(l); d < bits {
			bits, best = d, &q.crops[i]
		}
	}
	return bits, best
}

// Crops are all that are tried out. They must not be changed.
func (q Query) Crops() []Crop { return q.crops }

// Apart tells how unlike two pictures of one shape and framing are: in bits of 64 on
// the mean of all windows.
func Apart(a, b Looks) float64 {
	sum := 0
	for i := range a.Parts {
		sum += Distance(a.Parts[i], b.Parts[i])
	}
	return float64(sum) / LookParts
}
