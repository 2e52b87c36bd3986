package testday

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"
)

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

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
