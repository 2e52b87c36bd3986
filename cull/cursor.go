package cull

import (
	"fmt"
	"slices"
)

// The cursor walks the frames that its pass asks about. It belongs to the
// session but not to the journal.

// Cursor returns the frame that the cursor is on; "" in an empty job.
func (s *Session) Cursor() ID {
	if s.at >= len(s.layout.Places) {
		return ""
	}
	return s.layout.Places[s.at].Frame
}

// CursorIndex returns the cursor's index in the layout's places; 0 in an empty job.
func (s *Session) CursorIndex() int { return s.at }

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

func (s *Session) walks(i int) bool {
	id := s.layout.Places[i].Frame
	return s.only.has(id) && s.asks(s.passIndex(s.pass), id)
}

func (s *Session) isOpen(i int) bool {
	return s.answers[s.pass][s.layout.Places[i].Frame].Answer == Open && s.walks(i)
}

// advance goes on to the next open frame after the frame under the cursor was
// decided; where none is open the cursor stays.
func (s *Session) advance(e Entry) {
	on := s.Cursor()
	hit := slices.ContainsFunc(e.Changes, func(c Change) bool { return c.After != Open && s.canon(c.Frame) == on })
	if hit && e.Pass == s.pass && !s.Move(NextOpen) && s.only.ids != nil {
		s.Move(NextFrame) // what is walked may be decided from the start
	}
}

// jump goes to what an undo or redo changed, in its pass.
func (s *Session) jump(e Entry) {
	if len(e.Changes) == 0 {
		if id, ok := s.stepFrame(e); ok {
			s.MoveTo(id)
		}
		return
	}
	for _, c := range e.Changes {
		if s.MoveTo(c.Frame) {
			s.pass = e.Pass
			return
		}
	}
}
