// Package review looks over a job before it is handed over: what may be missing, and
// how much was kept of what. It reads nothing but the values that it is given, and
// decides nothing.
package review

import (
	"slices"
	"time"

	"garner/cull"
)

// Kind says what a line is about. The words are those of --on.
type Kind string

// The kinds of Line, in the order of the page.
const (
	Scene   Kind = "scene"   // a scene of which nothing was kept
	Must    Kind = "must"    // a picture that the job has to have and lacks
	Moment  Kind = "moment"  // a burst or series of which nothing was kept
	Covered Kind = "covered" // such ones of whose look-alikes something was kept, all in one line
	Lone    Kind = "lone"    // frames by themselves that were dropped, a line for each scene
	Unseen  Kind = "unseen"  // frames that were dropped and never shown
	Open    Kind = "open"    // frames that nobody has decided
	Broken  Kind = "broken"  // frames that could not be shown
)

func kinds() []Kind { return []Kind{Scene, Must, Moment, Covered, Lone, Unseen, Open, Broken} }

// Input is what a page is made of.
type Input struct {
	Session *cull.Session
	Frames  map[cull.ID]cull.Frame
	Bodies  []cull.Body // in the order of their letters
	Goal    int         // frames to be kept in all; 0 = none set
	Musts   []Wanted
	Has     map[string][]cull.ID // frames that were said by hand to be what is wanted, by its name in lower case
}

// Wanted is a picture that the job has to have.
type Wanted struct {
	Name        string
	Scene       string        // part of the scene's name; "" = Name is
	From, Until time.Duration // time of day from midnight, by corrected clocks; equal = any; Until may be the next day's
	Least       int           // to be kept
}

// Page is the page.
type Page struct {
	Lines                   []Line
	Frames, Kept, Goal      int
	ByScene, ByHour, ByBody []Share
}

// Line is one thing to look at.
type Line struct {
	Kind   Kind
	N      int // from 1 among those of its kind
	Text   string
	Frames []cull.ID // that it is about, in the job's order; nil = there are none to be shown
}

// Share is what was kept of a part of the job. Goal is what its part of the goal
// would be if all parts gave alike; 0 = none is set.
type Share struct {
	Name               string
	Kept, Open, Frames int
	Goal               int
}

// Make makes the page.
func Make(in Input) Page {
	v := view{Input: in, layout: in.Session.Layout()}
	v.look()
	lines := map[Kind][]Line{}
	add := func(k Kind, text string, frames []cull.ID) {
		lines[k] = append(lines[k], Line{k, len(lines[k]) + 1, text, frames})
	}
	v.scenes(add)
	v.musts(add)
	v.moments(add)
	v.frames(add)
	page := Page{Frames: len(v.layout.Places), Goal: in.Goal}
	for _, k := range kinds() {
		page.Lines = append(page.Lines, lines[k]...)
	}
	for _, a := range v.answers {
		if a == cull.Yes { // material for a merge is no picture more
			page.Kept++
		}
	}
	page.ByScene, page.ByHour, page.ByBody = v.shares()
	return page
}

// view is a job as its page is made.
type view struct {
	Input
	layout  cull.Layout
	answers []cull.Answer // what was decided of each place in the end
	dead    map[int]bool  // scenes of which nothing was kept
}

func (v *view) look() {
	s := v.Session
	v.answers = make([]cull.Answer, len(v.layout.Places))
	for i, p := range v.layout.Places {
		v.answers[i] = s.Outcome(p.Frame)
	}
}

// kept reports the answers with which a frame is handed over.
func kept(a cull.Answer) bool { return a == cull.Yes || a == cull.Part }

// dropped reports whether all of a stretch of places is decided and nothing of it
// kept.
func (v *view) dropped(from, to int) bool {
	return !slices.ContainsFunc(v.answers[from:to], func(a cull.Answer) bool { return a != cull.No })
}

// ids are the frames of a stretch of places.
func (v *view) ids(from, to int) []cull.ID {
	ids := make([]cull.ID, 0, to-from)
	for _, p := range v.layout.Places[from:to] {
		ids = append(ids, p.Frame)
	}
	return ids
}

// stretches calls fn for each run of places that have the same key.
func stretches(places []cull.Place, key func(cull.Place) int, fn func(from, to int)) {
	for from := 0; from < len(places); {
		to := from + 1
		for to < len(places) && key(places[to]) == key(places[from]) {
			to++
		}
		fn(from, to)
		from = to
	}
}
