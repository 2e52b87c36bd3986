package testday

import (
	"math"
	"math/rand/v2"
	"slices"
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

// decide says what is done with a view.
func (a *act) decide(rng *rand.Rand, often float64, left int) {
	again := func(n int, least, most float64) {
		n = min(n, left)
		for range n - 1 {
			a.pauses = append(a.pauses, seconds(least+(most-least)*rng.Float64()))
		}
		if n > 1 {
			a.kind = cull.Burst
		}
	}
	what := rng.Float64()
	phone := a.body == Phone
	switch {
	case what < .007 && !phone && left > 7: // views side by side, the exposure held
		a.series, a.moving, a.shake = cull.Panorama, .002, .01
		a.step = .3 + .2*rng.Float64()
		again(4+rng.IntN(4), 1.1, 2.4)
	case what < .015 && !phone && left > 5: // an interior against its windows
		a.series, a.moving, a.flagged = cull.Bracket, .002, rng.Float64() < .8
		a.shake = .002
		n := []int{3, 3, 5}[rng.IntN(3)]
		a.bias = brackets(n, []float64{2. / 3, 1, 2}[rng.IntN(3)], rng.IntN(2) == 0)
		again(n, .15, .5)
	case what < .021 && !phone && left > 10: // rings
		a.series, a.moving, a.shake = cull.FocusStack, 0, .001
		a.lens, a.view.focal, a.flash = lens{macro, [2]float64{100, 100}}, 100, false
		again(5+rng.IntN(6), .3, 1.2)
	case what < .021+often && !phone:
		fps := []float64{6, 8, 10, 12}[rng.IntN(4)]
		again(3+int(rng.ExpFloat64()*4), .97/fps, 1.03/fps)
		a.moving *= .4
	case what < .6: // pressed again and again
		again(2+int(rng.ExpFloat64()*1.2), .35, 1.3)
		if !phone && len(a.pauses) > 0 && rng.Float64() < .05 { // somebody turning the dial
			for k := range len(a.pauses) + 1 {
				a.bias = append(a.bias, float64(k)/3)
			}
		}
	}
	if a.series != "" {
		a.kind = cull.Series
	}
}

// brackets are n biases, from the middle outwards or from the darkest up.
func brackets(n int, step float64, middleFirst bool) (out []float64) {
	for k := range n {
		out = append(out, step*float64(k-n/2))
	}
	if middleFirst {
		slices.SortFunc(out, func(a, b float64) int {
			if d := math.Abs(a) - math.Abs(b); math.Abs(d) > 1e-9 {
				return int(math.Copysign(1, d))
			}
			return int(math.Copysign(1, a-b))
		})
	}
	return out
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// span is a stretch of time in which nobody photographs.
type span struct{ from, length time.Duration }

func (j job) quietTimes(rng *rand.Rand) (out []span) {
	for i := range j.quiet {
		out = append(out, span{time.Duration((float64(i) + .2 + .6*rng.Float64()) / float64(j.quiet) * float64(j.length)), minutes(3 + 4*rng.Float64())})
	}
	return out
}

// spread lays acts over the scene: pauses of all lengths between them, with time to
// look at the display before the same is photographed again.
func (j job) spread(rng *rand.Rand, acts []*act, quiet []span) []*act {
	free := j.length
	for _, q := range quiet {
		free -= q.length
	}
	least, wish := make([]time.Duration, len(acts)), make([]float64, len(acts)+1)
	sum := 0.
	for i, a := range acts {
		wish[i] = math.Exp(rng.NormFloat64())
		switch {
		case i > 0 && acts[i-1].view.number == a.view.number:
			least[i] = seconds(2.5)
		case rng.Float64() < .15: // somebody else at once, the finger still on the release
			least[i], wish[i] = seconds(.25+.75*rng.Float64()), 0
		default:
			least[i] = seconds(.4)
		}
		sum += wish[i]
		free -= least[i] + a.length()
	}
	wish[len(acts)] = math.Exp(rng.NormFloat64())
	sum += wish[len(acts)]
	free = max(free, 0)
	at := time.Duration(0)
	for i, a := range acts {
		at += least[i] + time.Duration(wish[i]/sum*float64(free))
		start := at
		for _, q := range quiet {
			if start >= q.from {
				start += q.length
			}
		}
		a.at = append(a.at, j.from.Add(start))
		for k, pause := range a.pauses {
			a.at = append(a.at, a.at[k].Add(pause))
		}
		at += a.length()
	}
	return acts
}

func (a *act) length() (sum time.Duration) {
	for _, pause := range a.pauses {
		sum += pause
	}
	return sum
}

func (a *act) move(by time.Duration) {
	for k := range a.at {
		a.at[k] = a.at[k].Add(by)
	}
}

// beside has somebody press at the same instant as the first photographer, now and
// then: a kiss, a cake. Half of the time they stand close and see the same.
func beside(rng *rand.Rand, first, own []*act) {
	for i, a := range own {
		if a.series != "" || rng.Float64() > .5 {
			continue
		}
		k, _ := slices.BinarySearchFunc(first, a.at[0], func(f *act, t time.Time) int { return f.at[0].Compare(t) })
		for _, f := range first[max(0, k-1):min(len(first), k+1)] {
			by := f.at[0].Sub(a.at[0]) + seconds(.5*rng.NormFloat64())
			if f.series != "" || i > 0 && a.at[0].Add(by).Sub(own[i-1].at[len(own[i-1].at)-1]) < 3*time.Second ||
				i+1 < len(own) && own[i+1].at[0].Sub(a.at[len(a.at)-1].Add(by)) < 3*time.Second {
				continue
			}
			a.move(by)
			if rng.Float64() < .5 {
				a.place, a.view, a.ev = f.place, f.view, f.ev
				a.view.x += rng.NormFloat64() * .02 * degreesWide(a.view.focal)
				if a.body != Phone {
					a.lens = f.lens
				}
			}
			break
		}
	}
}
