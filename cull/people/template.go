package people

import (
	"math"

	"garner/cull"
)

// Dims is the number of values of a template.
const Dims = 128

// Template describes a face: two of one person lie near each other in Euclidean
// distance. The values are of no unit.
type Template [Dims]float32

// The distances up to which faces are taken for one person, and may be one. Of 84
// pairs of one person the first finds 77 with no false one of 1,092, the second 83
// with one; easy photographs, of adults who are no relatives.
const (
	Cut   = 0.55
	Maybe = 0.60
)

// method is what templates are made with: only those of one can be compared.
const method = 1

// Face is a face with its template, at its place in the upright picture.
type Face struct {
	cull.Region
	Template Template
}

// Distance is the Euclidean distance of two templates.
func Distance(a, b *Template) float64 {
	var sum float32
	for i := range a {
		d := a[i] - b[i]
		sum += d * d
	}
	return math.Sqrt(float64(sum))
}

// maxValue is more than any network gives; beyond it sums would lose their meaning.
const maxValue = 1000

func (t *Template) sound() bool {
	for _, v := range t {
		if !(v >= -maxValue && v <= maxValue) { // also not a number
			return false
		}
	}
	return true
}

// region brings a place into the form in which it is kept.
func region(r cull.Region) (cull.Region, bool) {
	for _, v := range []*float64{&r.X, &r.Y, &r.W, &r.H} {
		if *v = float64(float32(*v)); !(*v >= -1 && *v <= 2) {
			return r, false
		}
	}
	return r, r.W > 0 && r.H > 0
}

// overlap is the share that two places have in common of all that they cover.
func overlap(a, b cull.Region) float64 {
	w := min(a.X+a.W, b.X+b.W) - max(a.X, b.X)
	h := min(a.Y+a.H, b.Y+b.H) - max(a.Y, b.Y)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h / (a.W*a.H + b.W*b.H - w*h)
}
