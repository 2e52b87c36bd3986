package evidence

import "garner/cull"

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

// Compare holds the frames of a moment against each other.
func Compare(in []Measured) Moment {
	m := Moment{Why: "not measured yet"}
	for _, f := range in {
		m.Rungs = append(m.Rungs, Rung{ID: f.ID})
	}
	return m
}
