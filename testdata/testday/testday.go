// Package testday invents a wedding day, with the truth about it: what was taken
// in one go, which frames are material for one picture, where scenes begin, and
// what every clock should have shown.
//
// Two bodies of one model and a guest's telephone photograph some twelve scenes.
// The second body's clock is 7 min 20 s slow, drifts, has no sub-seconds and is set
// anew during the day; the first one's counter begins again after 9999.
//
// The day is made from what happens on such days and from distances measured on
// real pictures (see place.go). It knows nothing of how frames are grouped, and no
// number in it may be chosen to please a limit there.
package testday

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"garner/cull"
)

// Frame is what a file says of a frame, what is measured of its picture, and the
// truth about it.
type Frame struct {
	ID      cull.ID
	Name    string
	Body    string     // key
	Shown   cull.Stamp // as the body's clock showed it
	Counter int64

	Look *cull.Look
	Luma float64 // mean luma, 0..1

	Flash       *bool
	Focal       float64 // mm
	Lens        string
	ManualWB    bool
	Upright     bool // taller than wide
	Sensor      int  // width in pixels
	Seconds     float64
	EV100       float64
	Bias        *float64
	AutoBracket bool

	Truth Truth
}

// Truth is what nobody told the camera.
type Truth struct {
	Time   time.Time // when it was taken, in time.UTC
	Moment int       // from 0; frames of one body taken in one go
	Kind   cull.MomentKind
	Series cull.SeriesKind
	View   int // from 0; moments of one view are look-alikes, whichever body took them
	Scene  int // index into Day.Scenes
}

// Scene is a stretch of the day in one place and light.
type Scene struct {
	Name        string
	From, Until time.Time
}

// Day is an invented shoot.
type Day struct {
	Frames []Frame // in true order
	Scenes []Scene
	Clocks map[string]Clock // of each body, by key
}

// The bodies' keys.
const (
	First  = "serial:Invented M1:4101"
	Second = "serial:Invented M1:4102"
	Phone  = "serial:Invented P9:77"
)

// New invents a day of n frames; the same seed gives the same day.
func New(seed uint64, n int) Day {
	rng := rand.New(rand.NewPCG(seed, 0x6f75722064617921))
	d := Day{Scenes: scenes(rng)}
	d.Clocks = clocks(rng, seed, d.Scenes)
	plan := allot(rng, d.Scenes, n)
	var acts []*act
	view := 0
	for i, s := range plan {
		of := s.shoot(rng, i, &view)
		acts = append(acts, of...)
	}
	slices.SortStableFunc(acts, func(a, b *act) int { return a.at[0].Compare(b.at[0]) })
	eye := newEye(rng)
	cameras := map[string]*camera{First: {letter: "A", count: 8600}, Second: {letter: "B", count: 2210}, Phone: {letter: "P", count: 0}}
	for moment, a := range acts {
		eye.enter(a.place)
		for k := range a.at {
			f := cameras[a.body].expose(rng, eye, a, k)
			f.Shown = d.Clocks[a.body].show(a.at[k])
			f.Truth.Moment = moment
			d.Frames = append(d.Frames, f)
		}
	}
	slices.SortStableFunc(d.Frames, func(a, b Frame) int { return a.Truth.Time.Compare(b.Truth.Time) })
	return d
}

// camera counts its frames.
type camera struct {
	letter string
	count  int // made so far, from 1 on the first card
}

// name gives the next file name and counter: DCF (CIPA DC-009) counts to 9999,
// then from 1 in another folder.
func (c *camera) next() (name string, counter int64) {
	c.count++
	number := (c.count-1)%9999 + 1
	return fmt.Sprintf("%s/%d/IMG_%04d", c.letter, 100+(c.count-1)/9999, number), int64(number)
}
