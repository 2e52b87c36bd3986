package testday

import (
	"math"
	"math/rand/v2"
	"time"

	"garner/cull"
)

// act is what a photographer does in one go: one moment.
type act struct {
	body   string
	place  place
	scene  int
	kind   cull.MomentKind
	series cull.SeriesKind
	view   view
	pauses []time.Duration // between its frames
	at     []time.Time
	shake  float64 // how far the hand moves from frame to frame, in shares of the picture's width
	moving float64 // how far people move from frame to frame, the same

	lens    lens
	flash   bool
	ev      float64
	bias    []float64 // nil = the dial is at zero
	flagged bool      // the camera says that it brackets
	step    float64   // of a panorama, in shares of the width
	manual  bool      // white balance
	grey    bool      // the rendition is black-and-white
}

// view is what somebody saw: where they stood and what with.
type view struct {
	number  int
	x, y    float64 // its middle, in degrees
	focal   float64
	upright bool
	people  uint64  // who stands there, as a seed
	ev      float64 // how much brighter than the place
}

// shoot invents what all three photograph in a scene.
func (j job) shoot(rng *rand.Rand, scene int, views *int) []*act {
	quiet := j.quietTimes(rng)
	first := j.spread(rng, j.acts(rng, First, scene, views), quiet)
	all := first
	for _, body := range []string{Second, Phone} {
		own := j.spread(rng, j.acts(rng, body, scene, views), quiet)
		beside(rng, first, own)
		all = append(all, own...)
	}
	return all
}

// acts invents one body's acts in a scene, without their times of day.
func (j job) acts(rng *rand.Rand, body string, scene int, views *int) (out []*act) {
	left := j.frames[body]
	p := j.place
	if body == Second && rng.Float64() < .25 { // in another room
		p.seed, p.ev = rng.Uint64(), p.ev+rng.NormFloat64()*1.5
	}
	manual, grey := body != Phone && rng.Float64() < .3, body == Second && rng.Float64() < .15
	var last *act
	for left > 0 {
		a := &act{body: body, place: p, scene: scene, kind: cull.Single, shake: .006 + .012*rng.Float64(), moving: .004 + .02*rng.Float64(), manual: manual, grey: grey}
		switch {
		case last != nil && rng.Float64() < .3: // once more
			a.view, a.lens, a.flash = last.view, last.lens, last.flash
			a.view.x += rng.NormFloat64() * .03 * degreesWide(a.view.focal)
			a.view.y += rng.NormFloat64() * .02 * degreesWide(a.view.focal)
		default:
			*views++
			a.lens = lenses[p.lens[0]+rng.IntN(p.lens[1]-p.lens[0])]
			if body == Phone {
				a.lens = lens{"5.7mm F1.8", [2]float64{26, 26}}
			}
			a.view = view{
				number: *views, x: 360 * rng.Float64(), y: 35 + 20*rng.Float64(), people: rng.Uint64(), upright: rng.Float64() < .3,
				focal: math.Round(a.lens.focal[0] + (a.lens.focal[1]-a.lens.focal[0])*rng.Float64()), ev: rng.NormFloat64() * .6,
			}
			a.flash = rng.Float64() < p.flash
		}
		a.ev = p.ev + a.view.ev
		a.decide(rng, j.often, left)
		left -= len(a.pauses) + 1
		out, last = append(out, a), a
	}
	return out
}
