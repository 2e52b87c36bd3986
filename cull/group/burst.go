package group

import (
	"slices"
	"time"
)

// bursts cuts a run of one body's frames, in order, into what was taken in one go
// and looks alike, and calls each with the bounds of every one. A go is told by its
// pace (letGo) and, where its pauses are long enough to walk to another subject,
// by likeness; within it, what is another subject, or so far from where the go
// began that it may be one, is cut off.
func bursts(run []Frame, o Options, each func(from, to int)) {
	pauses := pausesOf(run, o)
	for from := 0; from < len(run); {
		to := from + 1
		for to < len(run) && !pauses[to-1].never && !letGo(pauses, to-1) && looksOn(run, pauses, to, o) {
			to++
		}
		s := spree{run: run, pauses: pauses, o: o, each: each}
		s.cut(from, to)
		from = to
	}
}

// looksOn reports whether the frame of an index looks enough like the one before
// it for the pause between them. In quick succession it need not: nobody turns to
// another subject and lets go of the first within it, and a dancer looks new in
// every frame.
func looksOn(run []Frame, pauses []pause, to int, o Options) bool {
	p := pauses[to-1]
	d := unlike(&run[to-1], &run[to])
	if d == Unknown {
		return p.length <= blind || p.coarse && p.length <= quick
	}
	if p.length <= quick {
		return true
	}
	limit := likenessAfter(p.length, o)
	if p.coarse {
		limit = min(limit, likenessOnTheTurn(run, pauses, to, o))
	}
	return d <= limit
}

// likenessOnTheTurn is for clocks of whole seconds, where a burst that goes on over
// the turn of a second and one that begins again after one have the same times: what
// was quick before or after goes on as it was.
func likenessOnTheTurn(run []Frame, pauses []pause, to int, o Options) int {
	limit := o.Quick
	for _, side := range []struct{ at, step int }{{to - 2, -1}, {to, 1}} {
		most, n := 0, 0
		for i := side.at; i >= 0 && i < len(pauses) && n < paceReach && pauses[i].coarse && pauses[i].length <= quick; i += side.step {
			if d := unlike(&run[i], &run[i+1]); d != Unknown {
				most = max(most, d)
			}
			n++
		}
		if n >= 2 {
			limit = min(limit, most+onTheTurn)
		}
	}
	return limit
}

// onTheTurn is how many bits a step may be above those around it.
const onTheTurn = 4

// likenessAfter falls from Quick to Near with the pause.
func likenessAfter(length time.Duration, o Options) int {
	share := float64(max(length-quick, 0)) / float64(max(o.Gap-quick, 1))
	return o.Quick - int(share*float64(o.Quick-o.Near)+0.5)
}

// spree is a go of which the parts are to be found.
type spree struct {
	run    []Frame
	pauses []pause
	o      Options
	each   func(from, to int)
	steps  []int // how far each frame looks from the one before, from the first of the go on
}

// cut calls each with the parts of run[from:to], in order.
func (s *spree) cut(from, to int) {
	if to-from == 1 {
		s.each(from, to)
		return
	}
	s.steps = s.steps[:0]
	known := make([]int, 0, to-from)
	for i := from + 1; i < to; i++ {
		d := unlike(&s.run[i-1], &s.run[i])
		s.steps = append(s.steps, d)
		if d != Unknown {
			known = append(known, d)
		}
	}
	at := s.otherSubject(from, to, known)
	if at < 0 {
		if s.within(from, to, known) {
			s.each(from, to)
			return
		}
		at = s.widest(from, to)
	}
	s.cut(from, at)
	s.cut(at, to)
}

// otherSubject finds where the camera turned to something else in no time: a step
// far above those around it. Where every frame looks new, time decides, and where a
// single frame does, between two that look alike, something got in the way.
func (s *spree) otherSubject(from, to int, known []int) int {
	if len(known) < 2 {
		return -1
	}
	best, most := -1, 0
	for i := from + 1; i < to; i++ {
		d := s.steps[i-from-1]
		if d == Unknown || d <= most || d < s.o.Jump {
			continue
		}
		if usual := s.usual(i - from - 1); usual >= s.o.Jump || d < usual+s.o.Jump/2 {
			continue
		}
		if i+1 < to && unlike(&s.run[i-1], &s.run[i+1]) < s.o.Jump || i-2 >= from && unlike(&s.run[i-2], &s.run[i]) < s.o.Jump {
			continue
		}
		best, most = i, d
	}
	return best
}

// usual is the middle of the steps around one, up to three to either side.
func (s *spree) usual(at int) int {
	var around []int
	for k := max(0, at-3); k < min(len(s.steps), at+4); k++ {
		if k != at && s.steps[k] != Unknown {
			around = append(around, s.steps[k])
		}
	}
	if len(around) == 0 {
		return Unknown
	}
	slices.Sort(around)
	return around[(len(around)-1)/2]
}

// erratic is how long time alone holds frames together that all look new.
const erratic = 5 * time.Second

// within bounds a burst by its first frame, in time and in likeness. One frame that
// looks like nothing else does not end it.
func (s *spree) within(from, to int, known []int) bool {
	first, last := &s.run[from], &s.run[to-1]
	length := time.Duration(0)
	if first.Time.Known() && last.Time.Known() {
		length = last.Time.Wall.Sub(first.Time.Wall)
	}
	if length > s.o.Longest {
		return false
	}
	if n := len(known); n > 0 && length <= erratic && first.Time.Known() {
		slices.Sort(known)
		if known[n/2] >= s.o.Jump {
			return true
		}
	}
	far := 0
	for i := from + 1; i < to; i++ {
		if d := unlike(first, &s.run[i]); d == Unknown || d <= s.o.Far {
			far = 0
		} else if far++; far == 2 || i == to-1 {
			return false
		}
	}
	return true
}

// widest is where to cut a go that went on too long or too far, as a pan does:
// where most changes within three frames, rather in the middle than at the ends,
// where the view may have come to rest.
func (s *spree) widest(from, to int) int {
	best, most := from+1, -1.0
	for i := from + 1; i < to; i++ {
		d := unlike(&s.run[max(from, i-2)], &s.run[min(to-1, i+1)])
		if d == Unknown {
			d = 0
		}
		edge := min(i-from, to-i)
		weight := 0.5 + min(0.5, float64(edge)/float64(to-from))
		if c := float64(1+d) * weight; c > most {
			best, most = i, c
		}
	}
	return best
}
