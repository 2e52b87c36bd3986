package demo

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"time"

	"garner/cull/demo/stage"
)

// plan is the whole day: who presses which shutter when, and what goes wrong.
type plan struct {
	bodies  []Body
	moments []*moment // in the order of true time
	shots   []*shot   // in the order of true time
	done    int
}

// moment is what one body takes in one go.
type moment struct {
	view  stage.View
	body  int // index into plan.bodies
	start time.Time
	shots []*shot
	// bracket is an exposure bracket, not a burst.
	bracket bool
	same    int
	cycle   int // how often the scene's pictures had all been taken before
}

// shot is one exposure.
type shot struct {
	after  time.Duration // since the moment's start
	number int           // of the file name
	count  int64         // shutter counter
	ev     float64       // off the right exposure
	blink  bool
	blur   float32 // units
	shake  float32 // units, sideways
	seed   uint64
	kind   string
	pair   bool
	rating int
	broken bool
	truth  Truth
}

// The day begins at this time; 2026-09-12 is a Saturday.
var morning = time.Date(2026, 9, 12, 11, 30, 0, 0, time.UTC)

// pauses are the minutes between the end of one scene and the next.
func pauses() [stage.Scenes]int { return [...]int{0, 140, 68, 205, 52, 61, 55, 49} }

const (
	bodyA = iota
	bodyB
	guest
)

// cameras are invented makes; the indexes are the constants above.
func cameras() []Body {
	return []Body{
		{Letter: "A", Make: "Varnholt", Model: "Varnholt V6", Serial: "00417302"},
		{Letter: "B", Make: "Varnholt", Model: "Varnholt V6", Serial: "00419866"},
		{Letter: "C", Make: "Ilvesko", Model: "Ilvesko Compact 3", Serial: "IK30077154"},
	}
}

func newPlan(o Options) *plan {
	p := &plan{bodies: cameras()}
	r := rand.New(rand.NewPCG(uint64(o.Seed), 0x6A72))
	p.cast(o.Frames, r)
	p.schedule(r)
	p.mishaps(r)
	p.number([...]int{1, 1, 412})
	for _, m := range p.moments {
		for _, s := range m.shots {
			s.truth = m.truthOf(s, p.bodies[m.body])
		}
	}
	return p
}

// cast chooses the moments: round after round through the scenes, so that few
// frames already show the whole day, until there are exactly n exposures.
func (p *plan) cast(n int, r *rand.Rand) {
	same := 0
	for round := 0; n > 0; round++ {
		for sc := stage.Scene(0); sc < stage.Scenes && n > 0; sc++ {
			kind := order(sc)[round%sc.Kinds()]
			v := stage.View{Scene: sc, Kind: kind, Seed: r.Uint64() % 1e6, Pan: 1.6*r.Float32() - 0.8}
			same++
			m := &moment{view: v, body: bodyA, same: same, cycle: round / sc.Kinds()}
			count := burstLength(v, r)
			switch {
			case sc == stage.Ceremony && kind == 0 && round == 0:
				m.bracket, count = true, 3
			case r.IntN(9) == 0 && round > 0, round == 1 && sc == stage.Ceremony, round == 2 && sc == stage.Party:
				m.body, count = guest, min(count, 2)
			case r.IntN(3) == 0, round == 1 && sc == stage.Preparations, round == 1 && sc == stage.Portraits:
				m.body = bodyB
			}
			n -= m.add(min(count, n))
			p.moments = append(p.moments, m)
			// What matters is taken by both photographers at once.
			if m.body != guest && !m.bracket && v.Action() && r.IntN(3) == 0 && n > 0 {
				w := v
				w.Pan = -v.Pan
				b := &moment{view: w, body: bodyA + bodyB - m.body, same: same, cycle: m.cycle}
				n -= b.add(min(1+r.IntN(3), n))
				p.moments = append(p.moments, b)
			}
		}
	}
}

// order is the order in which a scene's pictures are chosen: what nobody may
// miss comes first, so that a small shoot has it. It is not the order in time.
func order(sc stage.Scene) []int {
	switch sc {
	case stage.Ceremony:
		return []int{0, 1, 3, 5, 2, 4}
	case stage.Party:
		return []int{0, 2, 1}
	}
	list := make([]int, sc.Kinds())
	for i := range list {
		list[i] = i
	}
	return list
}

func burstLength(v stage.View, r *rand.Rand) int {
	if v.Action() {
		return 3 + r.IntN(3) + r.IntN(2)*r.IntN(5)
	}
	return 1 + r.IntN(2)*r.IntN(4)
}

func (m *moment) add(n int) int {
	for range n {
		m.shots = append(m.shots, &shot{})
	}
	return n
}

// schedule gives times: a scene is a stretch of moments some seconds apart, two
// bodies overlap where they show the same thing, scenes are far apart.
func (p *plan) schedule(r *rand.Rand) {
	// Many frames make a scene denser before they make it longer than the day.
	per := len(p.moments)/stage.Scenes + 1
	scale := min(1, 40/float64(per))
	// Inside a scene the pictures follow each other as listed: the vows before
	// the kiss, the kiss before the petals.
	slices.SortStableFunc(p.moments, func(a, b *moment) int {
		return cmp.Or(cmp.Compare(a.cycle, b.cycle), cmp.Compare(a.view.Kind, b.view.Kind))
	})
	clock := morning
	for sc := stage.Scene(0); sc < stage.Scenes; sc++ {
		clock = clock.Add(time.Duration(pauses()[sc]) * time.Minute)
		last := 0
		for _, m := range p.moments {
			if m.view.Scene != sc {
				continue
			}
			if m.same == last {
				m.start = clock.Add(time.Duration(200+r.IntN(500)) * time.Millisecond)
				continue
			}
			last = m.same
			clock = clock.Add(time.Duration((14+46*r.Float64())*scale*1e3) * time.Millisecond)
			m.start = clock.Add(time.Duration(r.IntN(100)) * 10 * time.Millisecond)
			clock = m.start
		}
	}
	for _, m := range p.moments {
		m.pace(r)
	}
	slices.SortStableFunc(p.moments, func(a, b *moment) int { return a.start.Compare(b.start) })
}

// pace spreads the shots of a moment: 8 to 10 frames a second in a burst, in
// hundredths of a second as the bodies record them; a few seconds for the
// guest's slow camera.
func (m *moment) pace(r *rand.Rand) {
	step := time.Duration(100+r.IntN(26)) * time.Millisecond
	if m.body == guest {
		step = time.Duration(2000+r.IntN(2500)) * time.Millisecond
	}
	for i, s := range m.shots {
		s.after = (time.Duration(i)*step + time.Duration(r.IntN(8))*time.Millisecond).Truncate(10 * time.Millisecond)
		s.seed = r.Uint64()
	}
}

// number counts the files of each body, from the given numbers, in the order in
// which they were taken.
func (p *plan) number(next [3]int) {
	shutter := [...]int64{21840, 9312, 0}
	for _, m := range p.moments {
		p.shots = append(p.shots, m.shots...)
	}
	byTime := func(a, b *shot) int { return a.truth.Time.Compare(b.truth.Time) }
	for _, m := range p.moments {
		for _, s := range m.shots {
			s.truth.Time = m.start.Add(s.after)
		}
	}
	slices.SortStableFunc(p.shots, byTime)
	owner := map[*shot]int{}
	for _, m := range p.moments {
		for _, s := range m.shots {
			owner[s] = m.body
		}
	}
	for _, s := range p.shots {
		b := owner[s]
		s.number = (next[b]-1)%9999 + 1
		next[b]++
		if shutter[b] > 0 {
			s.count = shutter[b]
			shutter[b]++
		}
		p.bodies[b].Frames++
	}
}
