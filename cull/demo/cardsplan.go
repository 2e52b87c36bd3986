package demo

import (
	"fmt"
	"math/rand/v2"
	"time"

	"garner/cull/demo/stage"
)

// lastWeeks is how many frames are left on a card from the week before.
const lastWeeks = 3

// weekBefore is when they were taken.
var weekBefore = morning.AddDate(0, 0, -7).Add(8 * time.Hour)

// newCardsPlan is a day of two bodies, and the end of another one.
func newCardsPlan(o Options) *plan {
	p := &plan{bodies: cameras()[:guest]}
	r := rand.New(rand.NewPCG(uint64(o.Seed), 0xCA2D))
	p.cast(o.Frames, r)
	share(p.moments)
	p.schedule(r)
	p.mishaps(r)
	var ofA int
	for _, m := range p.moments {
		for _, s := range m.shots {
			s.broken, s.pair = false, m.body == bodyA
			if m.body == bodyA {
				ofA++
			}
		}
	}
	// Body A passes 9999 in the middle of the day, and then uses the names of last
	// week's frames again.
	p.number([...]int{10000 - ofA/2, 1, 1})

	before := &moment{view: stage.View{Scene: stage.Dinner, Kind: 0, Seed: 7 + r.Uint64()%1e6}, body: bodyA, start: weekBefore}
	before.add(lastWeeks)
	before.pace(r)
	for i, s := range before.shots {
		s.kind, s.number, s.count, s.pair = "CR3", i+1, int64(11900+i), true
	}
	p.moments = append(p.moments, before)
	p.shots = append(p.shots, before.shots...)
	p.bodies[bodyA].Frames += lastWeeks
	return p
}

// share gives the guest's moments to body A, and body B enough of them to show
// what a mirrored card can be like.
func share(moments []*moment) {
	const enough = 5
	ofB := 0
	for _, m := range moments {
		if m.body == guest {
			m.body = bodyA
		}
		if m.body == bodyB {
			ofB += len(m.shots)
		}
	}
	for i, m := range moments {
		if ofB < enough && i%2 == 1 && m.body == bodyA && !m.bracket {
			m.body = bodyB
			ofB += len(m.shots)
		}
	}
}

// lastWeek reports whether the moment is of the week before.
func (m *moment) lastWeek() bool { return m.start.Equal(weekBefore) }

// dcf is the folder of a shot below DCIM, named after DCF 2.0 (CIPA DC-009) §3.2.
// Last week's are in the first, and body A begins another one after its number 9999.
func (m *moment) dcf(s *shot) string {
	n := 100
	if m.body == bodyA && !m.lastWeek() {
		n = 101
		if s.number < MaxFrames/2 {
			n = 102
		}
	}
	return fmt.Sprintf("%dVRNHT", n)
}
