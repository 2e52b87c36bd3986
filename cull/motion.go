package cull

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

// Peek returns the frame that a motion would lead to; "" if it would not move.
func (s *Session) Peek(m Motion) ID {
	if len(s.layout.Places) == 0 {
		return ""
	}
	to := s.target(m)
	if to < 0 || to == s.at {
		return ""
	}
	return s.layout.Places[to].Frame
}

// OpenAfter returns up to n frames after the cursor that the cursor's pass asks
// about and that are open, in order.
func (s *Session) OpenAfter(n int) []ID {
	var ids []ID
	for i := s.at + 1; i < len(s.layout.Places) && len(ids) < n; i++ {
		if s.isOpen(i) {
			ids = append(ids, s.layout.Places[i].Frame)
		}
	}
	return ids
}

// target finds where a motion leads; -1 = nowhere.
func (s *Session) target(m Motion) int {
	last := len(s.layout.Places) - 1
	moment := func(p Place) int { return p.Moment }
	scene := func(p Place) int { return p.Scene }
	switch m {
	case NextOpen:
		if i := s.seek(s.at+1, last, 1, s.isOpen); i >= 0 {
			return i
		}
		return s.seek(0, s.at, 1, s.isOpen)
	case PrevOpen:
		if i := s.seek(s.at-1, 0, -1, s.isOpen); i >= 0 {
			return i
		}
		return s.seek(last, s.at, -1, s.isOpen)
	case NextFrame:
		return s.seek(s.at+1, last, 1, s.walks)
	case PrevFrame:
		return s.seek(s.at-1, 0, -1, s.walks)
	case NextMoment:
		return s.seekOther(s.at+1, last, 1, moment)
	case PrevMoment:
		return s.firstOf(s.seekOther(s.at-1, 0, -1, moment), moment)
	case LadderDown:
		return s.seek(s.at+1, s.momentEnd(s.at), 1, s.walks)
	case LadderUp:
		return s.seek(s.at-1, s.momentStart(s.at), -1, s.walks)
	case NextScene:
		return s.seekOther(s.at+1, last, 1, scene)
	case PrevScene:
		return s.firstOf(s.seekOther(s.at-1, 0, -1, scene), scene)
	case FirstFrame:
		return s.seek(0, last, 1, s.walks)
	case LastFrame:
		return s.seek(last, 0, -1, s.walks)
	}
	return -1
}

// seek finds the first place that fits, from one index up to another (dir 1)
// or down to it (dir -1), both included; -1 = none.
func (s *Session) seek(from, to, dir int, fits func(int) bool) int {
	for i := from; i*dir <= to*dir; i += dir {
		if fits(i) {
			return i
		}
	}
	return -1
}

// seekOther finds the first frame of the pass with another key than here.
func (s *Session) seekOther(from, to, dir int, key func(Place) int) int {
	here := key(s.layout.Places[s.at])
	return s.seek(from, to, dir, func(i int) bool { return s.walks(i) && key(s.layout.Places[i]) != here })
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
