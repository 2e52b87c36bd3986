package cull

// restriction is a set of frames that the cursor walks, such as those of one line
// of a review. The zero value restricts nothing.
type restriction struct {
	name string
	ids  map[ID]bool
}

func (r restriction) has(id ID) bool { return r.ids == nil || r.ids[id] }

// Restrict lets the cursor walk only some frames, as far as its pass asks about
// them; nil lets it walk all again. It puts the cursor on the first of them that is
// open, else on the first, if it stands on none. Like the cursor it belongs to the
// session but not to the journal, and decides nothing.
func (s *Session) Restrict(ids []ID, name string) {
	s.only = restriction{}
	if ids != nil {
		s.only = restriction{name, make(map[ID]bool, len(ids))}
		for _, id := range ids {
			s.only.ids[s.canon(id)] = true
		}
	}
	s.version++
	if ids == nil || len(s.layout.Places) == 0 || s.walks(s.at) {
		return
	}
	last := len(s.layout.Places) - 1
	if i := s.seek(0, last, 1, s.isOpen); i >= 0 {
		s.at = i
	} else if i := s.seek(0, last, 1, s.walks); i >= 0 {
		s.at = i
	}
}

// Restricted returns the name that Restrict was given; ok is false where the cursor
// walks all.
func (s *Session) Restricted() (name string, ok bool) { return s.only.name, s.only.ids != nil }

// Walks reports whether the cursor walks a frame: its pass asks about it, and it is
// among those that Restrict named.
func (s *Session) Walks(id ID) bool {
	i, ok := s.places[s.canon(id)]
	return ok && s.walks(i)
}
