package testday

import (
	"fmt"
	"math"
	"math/rand/v2"

	"garner/cull"
)

// expose takes the frame of an act.
func (c *camera) expose(rng *rand.Rand, e *eye, a *act, k int) Frame {
	name, counter := c.next()
	f := Frame{
		ID: cull.ID(fmt.Sprintf("%016x", rng.Uint64())), Name: name, Body: a.body, Counter: counter,
		Flash: new(bool), Focal: a.view.focal, Lens: a.lens.name, ManualWB: a.manual, Upright: a.view.upright, Sensor: 6000,
		AutoBracket: a.flagged,
		Truth:       Truth{Time: a.at[k], Kind: a.kind, Series: a.series, View: a.view.number, Scene: a.scene},
	}
	if a.body == Phone {
		f.Counter, f.Sensor, f.Focal = 0, 4032, 5.7
	}
	*f.Flash = a.flash
	bias := 0.
	if a.bias != nil {
		bias = a.bias[k%len(a.bias)]
	}
	if a.body != Phone {
		f.Bias = &bias
	}
	wander := 0.
	if a.series == "" {
		wander = .15 * rng.NormFloat64() // automatic exposure never gives the same twice
	}
	f.EV100 = a.ev + wander - bias
	if a.flash {
		f.EV100 = 5 + wander - bias // what the flash needs, whatever the light
	}
	f.Seconds = math.Exp2(-math.Round(min(max(f.EV100*.6+3, 5), 11)))

	v, people := a.view, crowd(a.view.people)
	degrees := degreesWide(v.focal)
	v.x += degrees * a.shake * rng.NormFloat64()
	v.y += degrees * a.shake * .7 * rng.NormFloat64()
	v.x += degrees * a.step * float64(k)
	for i := range people {
		people[i].x += a.moving * rng.NormFloat64() * math.Sqrt(float64(k+1))
		people[i].y += a.moving * .5 * rng.NormFloat64() * math.Sqrt(float64(k+1))
		people[i].x -= a.step * float64(k)
	}
	e.draw(v, people, bias+wander)
	focus := -1.
	if a.series == cull.FocusStack {
		focus = float64(k) / float64(max(1, len(a.at)-1))
	}
	f.Look, f.Luma = e.look(a.place.cast, a.grey, focus)
	return f
}
