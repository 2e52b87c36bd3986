package demo

import (
	"math/rand/v2"

	"garner/cull/demo/stage"
)

// mishaps decides what goes wrong, and what kind of file each shot becomes.
func (p *plan) mishaps(r *rand.Rand) {
	pairs, rated := 0, 0
	for _, m := range p.moments {
		flash := r.IntN(12) == 0 // the light was misjudged for the whole moment
		for i, s := range m.shots {
			s.kind = m.kind()
			if m.bracket {
				s.ev = []float64{0, -2, 2}[i%3]
				continue
			}
			switch x := r.IntN(100); {
			case x < 7:
				s.blur = 5 + 4*r.Float32()
			case x < 12:
				s.shake = 16 + 16*r.Float32()
			case x < 15:
				s.ev = -1.8
			case x < 18:
				s.ev = 1.7
			}
			if flash && s.ev == 0 {
				s.ev = 1.1
			}
			s.blink = r.IntN(6) == 0
			// A pair needs a raw; the first moments of A, and the guest's.
			if s.kind != "JPEG" && (m.body == guest && i == 0 || m.body == bodyA && m.view.Scene == stage.Preparations && pairs < 4) {
				s.pair = true
				pairs++
			}
			if m.body == bodyA && rated < 3 && i == 1 && m.view.Scene >= stage.Ceremony && s.ev == 0 && s.blur == 0 {
				s.rating = 4
				rated++
			}
		}
	}
	p.breakOne()
}

// kind is the container of a moment's raw files: the professionals' body writes
// DNG in the formal scenes and CR3 elsewhere, the guest's writes RAF by day and
// JPEG at night.
func (m *moment) kind() string {
	switch {
	case m.body == guest && m.view.Scene >= stage.FirstDance:
		return "JPEG"
	case m.body == guest:
		return "RAF"
	case m.view.Scene == stage.Formals || m.view.Scene == stage.Portraits:
		return "DNG"
	}
	return "CR3"
}

// breakOne cuts off one DNG, unless there are so few frames that it would be a
// good part of them.
func (p *plan) breakOne() {
	n := 0
	for _, m := range p.moments {
		n += len(m.shots)
	}
	if n < 16 {
		return
	}
	for _, m := range p.moments {
		if k := len(m.shots); k > 1 && m.shots[k-1].kind == "DNG" {
			m.shots[k-1].broken = true
			return
		}
	}
}

// truthOf tells what the shot was meant to be. Whether somebody blinks is added
// when it is drawn, because a picture without people has nobody who could.
func (m *moment) truthOf(s *shot, b Body) Truth {
	t := s.truth
	t.Body, t.Kind = b.Letter, s.kind
	t.Scene, t.Name = int(m.view.Scene), m.view.Scene.Name()
	t.Moment = m.shots[0].number + 10000*m.body
	t.Burst = len(m.shots) > 1 && !m.bracket
	t.Same = m.same
	t.Soft = s.blur > 0 || s.shake > 0
	t.Exposure = s.ev
	t.Bracket, t.Broken = m.bracket, s.broken
	t.Upright = m.view.Upright()
	base := b.Letter + "/" + s.name(m.body)
	t.Paths = []string{base + "." + s.ext()}
	if s.pair {
		t.Paths = append(t.Paths, base+".JPG")
	}
	return t
}
