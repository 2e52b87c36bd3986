package cull

import (
	"fmt"
	"slices"
)

// planCorrect plans a correction as it is given.
func (s *Session) planCorrect(e *Entry, c Correction) error {
	if !c.Kind.groups() {
		return fmt.Errorf("%w: %s is no correction of groups", ErrBadAction, quote(string(c.Kind)))
	}
	c = c.mapped(s.canon)
	seen := map[ID]bool{}
	for _, id := range slices.Concat(c.Frames, c.Others) {
		if _, ok := s.places[id]; !ok {
			return fmt.Errorf("%w: %s", ErrUnknownFrame, s.label(id))
		}
		if seen[id] {
			return fmt.Errorf("%w: %s is named twice", ErrBadAction, s.label(id))
		}
		seen[id] = true
	}
	switch {
	case len(c.Frames) == 0, (c.Kind == SplitAt) != (len(c.Others) > 0):
		return fmt.Errorf("%w: the correction does not say which frames it means", ErrBadAction)
	case len(c.Frames) == 1 && (c.Kind == JoinMoment || c.Kind == JoinSeries || c.Kind == LetGo):
		return fmt.Errorf("%w: one frame alone cannot be joined or let go", ErrBadAction)
	case len(c.Frames) > 1 && (c.Kind == BeginScene || c.Kind == JoinScene):
		return fmt.Errorf("%w: a scene begins with the moment of one frame", ErrBadAction)
	case c.Kind == JoinScene && s.layout.Places[s.places[c.Frames[0]]].Moment == s.layout.Places[0].Moment:
		return fmt.Errorf("%w: the first scene of the job begins with its first moment", ErrBadAction)
	case s.layout.keeps(c, s.places):
		return fmt.Errorf("%w: the frames are grouped like that already", ErrNothing)
	}
	e.Verb, e.Args = VerbCorrect, c.args()
	return nil
}

// keeps reports whether what a correction says is so. Frames that the layout lacks
// say nothing against it.
func (l Layout) keeps(c Correction, places map[ID]int) bool {
	var all []Place
	for _, id := range c.Frames {
		if i, ok := places[id]; ok {
			all = append(all, l.Places[i])
		}
	}
	if len(all) == 0 {
		return true
	}
	first := all[0]
	switch c.Kind {
	case JoinMoment, JoinSeries:
		return !slices.ContainsFunc(all, func(p Place) bool {
			return p.Moment != first.Moment || c.Kind == JoinSeries && p.Kind != Series && len(all) > 1
		})
	case SplitAt:
		moments := map[int]bool{}
		for _, p := range all {
			moments[p.Moment] = true
		}
		return !slices.ContainsFunc(c.Others, func(id ID) bool {
			i, ok := places[id]
			return ok && moments[l.Places[i].Moment]
		})
	case TakeOut:
		return !slices.ContainsFunc(all, func(p Place) bool { return l.momentSize(places[p.Frame]) > 1 })
	case LetGo:
		in := map[int]int{} // set → moment
		return !slices.ContainsFunc(all, func(p Place) bool {
			if p.Alike == 0 {
				return false
			}
			m, ok := in[p.Alike]
			in[p.Alike] = p.Moment
			return ok && m != p.Moment
		})
	}
	begins := l.beginsScene(places[first.Frame])
	return begins == (c.Kind == BeginScene) || first.Moment == l.Places[0].Moment
}

// momentSize counts the frames of the moment at a place, up to 2.
func (l Layout) momentSize(i int) int {
	n, m := 1, l.Places[i].Moment
	if i > 0 && l.Places[i-1].Moment == m || i+1 < len(l.Places) && l.Places[i+1].Moment == m {
		n++
	}
	return n
}

// beginsScene reports whether the moment at a place is the first of its scene.
func (l Layout) beginsScene(i int) bool {
	for i > 0 && l.Places[i-1].Moment == l.Places[i].Moment {
		i--
	}
	return i == 0 || l.Places[i-1].Scene != l.Places[i].Scene
}

// place finds a frame in the layout.
func (s *Session) place(id ID) (int, error) {
	i, ok := s.places[s.canon(id)]
	if !ok {
		return 0, fmt.Errorf("%w: %s", ErrUnknownFrame, s.label(id))
	}
	return i, nil
}

func (s *Session) planJoin(e *Entry, a Join) error {
	i, err := s.place(a.Frame)
	if err != nil {
		return err
	}
	start := s.momentStart(i)
	if start == 0 {
		return fmt.Errorf("%w: there is no moment before it", ErrNothing)
	}
	kind := JoinMoment
	if a.Series {
		kind = JoinSeries
	}
	before := s.Moment(s.layout.Places[start-1].Frame)
	return s.planCorrect(e, Correction{Kind: kind, Frames: append(before, s.Moment(a.Frame)...)})
}

func (s *Session) planSplit(e *Entry, frame ID) error {
	i, err := s.place(frame)
	if err != nil {
		return err
	}
	ids, at := s.Moment(frame), i-s.momentStart(i)
	if at == 0 {
		return fmt.Errorf("%w: its moment begins with this frame", ErrNothing)
	}
	return s.planCorrect(e, Correction{Kind: SplitAt, Frames: ids[:at], Others: ids[at:]})
}

func (s *Session) planOut(e *Entry, frame ID) error {
	i, err := s.place(frame)
	if err != nil {
		return err
	}
	if s.layout.momentSize(i) == 1 {
		return fmt.Errorf("%w: it is a moment by itself", ErrNothing)
	}
	return s.planCorrect(e, Correction{Kind: TakeOut, Frames: []ID{s.layout.Places[i].Frame}})
}

func (s *Session) planApart(e *Entry, frame ID) error {
	if _, err := s.place(frame); err != nil {
		return err
	}
	ids := s.Alikes(frame)
	if ids == nil {
		return fmt.Errorf("%w: its moment has no look-alikes", ErrNothing)
	}
	return s.planCorrect(e, Correction{Kind: LetGo, Frames: ids})
}

func (s *Session) planSceneBegin(e *Entry, frame ID) error {
	i, err := s.place(frame)
	if err != nil {
		return err
	}
	kind := BeginScene
	if s.layout.beginsScene(i) {
		kind = JoinScene
	}
	return s.planCorrect(e, Correction{Kind: kind, Frames: []ID{s.layout.Places[s.momentStart(i)].Frame}})
}
