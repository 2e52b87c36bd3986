package testday

import (
	"math/rand/v2"
	"time"
)

// part is a part of the day as it usually is.
type part struct {
	name    string
	minutes float64
	lull    float64 // minutes until the next one in which hardly anybody photographs
	share   float64 // of the frames, in relation to the others
	place   place
	quiet   int     // pauses of some minutes within it: a sermon, courses being served
	often   float64 // share of moments that are quick bursts
	skip    float64 // share of days that go without it
}

// parts are a day as it may be; the figures are invented, in the measure of what is
// common: ten hours, some of the changes of place with half an hour between them,
// some with two minutes.
var parts = []part{
	{"preparations", 65, 14, 9, place{ev: 7, cast: warm, lens: [2]int{0, 2}}, 1, .1, 0},
	{"groom", 25, 21, 4, place{ev: 6, cast: warm, flash: .15, lens: [2]int{0, 2}}, 0, .1, .2},
	{"first look", 20, 9, 5, place{ev: 12.5, cast: green, lens: [2]int{1, 3}}, 0, .35, .3},
	{"arrival", 18, 3, 4, place{ev: 14, cast: cool, lens: [2]int{0, 2}}, 0, .25, 0},
	{"ceremony", 48, 2.5, 11, place{ev: 4.5, cast: warm, lens: [2]int{1, 4}}, 2, .25, 0},
	{"congratulations", 30, 6, 10, place{ev: 14, cast: cool, lens: [2]int{0, 3}}, 0, .5, 0},
	{"formals", 28, 11, 7, place{ev: 12, cast: green, flash: .4, lens: [2]int{1, 2}}, 0, .2, 0},
	{"portraits", 40, 24, 9, place{ev: 13, cast: gold, lens: [2]int{2, 4}}, 1, .3, 0},
	{"reception", 45, 17, 8, place{ev: 11, cast: green, lens: [2]int{0, 3}}, 0, .2, 0},
	{"dinner and speeches", 75, 5, 12, place{ev: 4, cast: lamp, flash: .6, lens: [2]int{1, 4}}, 2, .2, 0},
	{"cake in the yard", 11, 4, 4, place{ev: 2.5, cast: night, lens: [2]int{0, 2}}, 0, .4, .2},
	{"first dance", 20, 13, 6, place{ev: 2, cast: dance, flash: .5, lens: [2]int{0, 2}}, 0, .5, 0},
	{"party", 90, 0, 14, place{ev: 1.5, cast: dance, flash: .9, lens: [2]int{0, 1}}, 2, .4, 0},
}

// job is a part with its time and its frames.
type job struct {
	part
	from   time.Time
	length time.Duration
	frames map[string]int // of each body
}

// scenes lays out a day.
func scenes(rng *rand.Rand) []Scene {
	at := time.Date(2026, 6, 13, 9, 20, 0, 0, time.UTC).Add(time.Duration(rng.IntN(40*60)) * time.Second)
	var out []Scene
	for _, p := range parts {
		skip := rng.Float64() < p.skip
		length, lull := minutes(p.minutes*(.75+.5*rng.Float64())), minutes(p.lull*(.75+.6*rng.Float64()))
		if skip {
			continue
		}
		out = append(out, Scene{Name: p.name, From: at, Until: at.Add(length)})
		at = at.Add(length + lull)
	}
	return out
}

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// allot shares the frames out: to the first body a little more than to the second,
// and every twelfth to the telephone.
func allot(rng *rand.Rand, scenes []Scene, n int) []job {
	jobs := make([]job, len(scenes))
	total := 0.
	for i, s := range scenes {
		for _, p := range parts {
			if p.name == s.Name {
				jobs[i] = job{part: p, from: s.From, length: s.Until.Sub(s.From)}
			}
		}
		j := &jobs[i]
		j.share *= .8 + .4*rng.Float64()
		j.place.ev += rng.NormFloat64() * .5
		j.place.seed = rng.Uint64()
		if s.Name == "party" && jobs[i-1].name == "first dance" {
			j.place.seed = jobs[i-1].place.seed // the same hall
		}
		total += j.share
	}
	left := n
	for i := range jobs {
		j := &jobs[i]
		of := left
		if i < len(jobs)-1 {
			of = int(float64(n) * j.share / total)
		}
		left -= of
		second, phone := of*2/5, of/12
		j.frames = map[string]int{First: of - second - phone, Second: second, Phone: phone}
	}
	return jobs
}
