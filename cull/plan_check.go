package cull

import "fmt"

// standsAlone reports whether a burst key must leave a decision as it is.
func standsAlone(d Decision) bool {
	return d.Answer == Part || d.Answer != Open && d.Explicit
}

// meant lists the frames that a burst key is about, each once: those of the
// moment that the pass asks about, or exactly those given.
func (s *Session) meant(pass string, frame ID, exact []ID) ([]ID, error) {
	if err := s.checkFrame(pass, s.canon(frame)); err != nil {
		return nil, err
	}
	if exact == nil {
		var ids []ID
		for _, id := range s.Moment(frame) {
			if s.Eligible(pass, id) {
				ids = append(ids, id)
			}
		}
		return ids, nil
	}
	var ids []ID
	seen := map[ID]bool{}
	for _, id := range exact {
		id = s.canon(id)
		if err := s.checkFrame(pass, id); err != nil {
			return nil, err
		}
		if !seen[id] {
			seen[id] = true
			ids = append(ids, id)
		}
	}
	return ids, nil
}

func (s *Session) checkAnswer(pass string, a Answer) error {
	switch {
	case s.passIndex(pass) < 0:
		return fmt.Errorf("%w: %s", ErrUnknownPass, quote(pass))
	case a == Part && pass != KeepPass:
		return fmt.Errorf("%w: part belongs to the pass keep", ErrAnswer)
	case a > Part:
		return ErrAnswer
	}
	return nil
}

func (s *Session) checkFrame(pass string, id ID) error {
	if _, ok := s.places[id]; !ok {
		return fmt.Errorf("%w: %s", ErrUnknownFrame, s.label(id))
	}
	if !s.Eligible(pass, id) {
		return fmt.Errorf("%w: %s in %s", ErrNotInPass, s.label(id), pass)
	}
	return nil
}
