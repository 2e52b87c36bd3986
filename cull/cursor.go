package cull

import (
	"fmt"
	"slices"
)

// The cursor walks the frames that its pass asks about. It belongs to the
// session but not to the journal.

// Motion is a way to move the cursor.
type Motion uint8

// The motions. NextOpen and PrevOpen go round the end; the others stop there.
// A moment or scene is entered at its first frame.
const (
	NextOpen Motion = iota
	PrevOpen
	NextFrame
	PrevFrame
	NextMoment
	PrevMoment
	LadderDown // the next frame of the moment
	LadderUp
	NextScene
	PrevScene
	FirstFrame
	LastFrame
)

// Cursor returns the frame that the cursor is on; "" in an empty job.
func (s *Session) Cursor() ID {
	if s.at >= len(s.layout.Places) {
		return ""
	}
	return s.layout.Places[s.at].Frame
}

// CursorPass returns the pass that the cursor walks.
func (s *Session) CursorPass() string { return s.pass }

// EnterPass lets the cursor walk another pass. It goes to the next open frame
// there, if it does not stand on one.
func (s *Session) EnterPass(name string) error {
	if s.passIndex(name) < 0 {
		return fmt.Errorf("%w: %s", ErrUnknownPass, quote(name))
	}
	s.pass = name
	s.version++
	if len(s.layout.Places) > 0 && !s.isOpen(s.at) && !s.Move(NextOpen) && !s.walks(s.at) && !s.Move(NextFrame) {
		s.Move(PrevFrame)
	}
	return nil
}

// MoveTo puts the cursor on a frame and reports whether the frame is there.
func (s *Session) MoveTo(id ID) bool {
	i, ok := s.places[s.canon(id)]
	if ok {
		s.at = i
		s.version++
	}
	return ok
}

// Move moves the cursor and reports whether it moved.
func (s *Session) Move(m Motion) bool {
	if len(s.layout.Places) == 0 {
		return false
	}
	to := s.target(m)
	if to < 0 || to == s.at {
		return false
	}
	s.at = to
	s.version++
	return true
}

// target finds where a motion leads; -1 = nowhere.
func (s *Session) target(m Motion) int {
	last := len(s.layout.Places) - 1
	here := s.layout.Places[s.at]
	moment := func(p Place) int { return p.Moment }
	scene := func(p Place) int { return p.Scene }
	inMoment := func(i int) bool { return s.walks(i) && s.layout.Places[i].Moment == here.Moment }
	switch m {
	case NextOpen:
		if i := s.seek(s.at+1, last, s.isOpen); i >= 0 {
			return i
		}
		return s.seek(0, s.at, s.isOpen)
	case PrevOpen:
		if i := s.seek(s.at-1, 0, s.isOpen); i >= 0 {
			return i
		}
		return s.seek(last, s.at, s.isOpen)
	case NextFrame:
		return s.seek(s.at+1, last, s.walks)
	case PrevFrame:
		return s.seek(s.at-1, 0, s.walks)
	case NextMoment:
		return s.seekOther(s.at+1, last, moment)
	case PrevMoment:
		return s.firstOf(s.seekOther(s.at-1, 0, moment), moment)
	case LadderDown:
		return s.seek(s.at+1, last, inMoment)
	case LadderUp:
		return s.seek(s.at-1, 0, inMoment)
	case NextScene:
		return s.seekOther(s.at+1, last, scene)
	case PrevScene:
		return s.firstOf(s.seekOther(s.at-1, 0, scene), scene)
	case FirstFrame:
		return s.seek(0, last, s.walks)
	case LastFrame:
		return s.seek(last, 0, s.walks)
	}
	return -1
}

// seek finds the first place from one index to another, both included and in
// either direction, that fits.
func (s *Session) seek(from, to int, fits func(int) bool) int {
	n := len(s.layout.Places)
	dir := 1
	if from > to {
		dir = -1
	}
	for i := from; i >= 0 && i < n && i != to+dir; i += dir {
		if fits(i) {
			return i
		}
	}
	return -1
}

// seekOther finds the first frame of the pass with another key than here.
func (s *Session) seekOther(from, to int, key func(Place) int) int {
	here := key(s.layout.Places[s.at])
	return s.seek(from, to, func(i int) bool { return s.walks(i) && key(s.layout.Places[i]) != here })
}

// firstOf goes back from i to the first frame of the pass with the same key.
func (s *Session) firstOf(i int, key func(Place) int) int {
	for k := i; k >= 0 && key(s.layout.Places[k]) == key(s.layout.Places[i]); k-- {
		if s.walks(k) {
			i = k
		}
	}
	return i
}

func (s *Session) walks(i int) bool { return s.Eligible(s.pass, s.layout.Places[i].Frame) }

func (s *Session) isOpen(i int) bool {
	return s.walks(i) && s.answers[s.pass][s.layout.Places[i].Frame].Answer == Open
}

// advance goes on to the next open frame after the frame under the cursor was
// decided; where none is open the cursor stays.
func (s *Session) advance(e Entry) {
	on := s.Cursor()
	hit := slices.ContainsFunc(e.Changes, func(c Change) bool { return c.After != Open && s.canon(c.Frame) == on })
	if hit && e.Pass == s.pass {
		s.Move(NextOpen)
	}
}

// jump goes to what an undo or redo changed, in its pass.
func (s *Session) jump(e Entry) {
	for _, c := range e.Changes {
		if s.MoveTo(c.Frame) {
			s.pass = e.Pass
			return
		}
	}
}
