package cull

import "slices"

// made is a correction of the groups and whether it stands.
type made struct {
	seq    uint64
	c      Correction
	undone bool
}

// Corrections returns the corrections that stand, in the order in which they were
// made.
func (s *Session) Corrections() []Correction {
	var cs []Correction
	for _, m := range s.made {
		if !m.undone {
			cs = append(cs, m.c.mapped(s.canon))
		}
	}
	return cs
}

// Alikes returns the frames of all moments of the set of look-alikes that a frame
// belongs to, in order; nil if it belongs to none.
func (s *Session) Alikes(id ID) []ID {
	at, ok := s.places[s.canon(id)]
	if !ok || s.layout.Places[at].Alike == 0 {
		return nil
	}
	places, set := s.layout.Places, s.layout.Places[at].Alike
	for at > 0 && places[at-1].Alike == set {
		at--
	}
	var ids []ID
	for ; at < len(places) && places[at].Alike == set; at++ {
		ids = append(ids, places[at].Frame)
	}
	return ids
}

// correct makes the layout in use from the one that was grouped. The cursor stays
// on its frame.
func (s *Session) correct() {
	if s.replaying {
		return
	}
	on := s.Cursor()
	s.layout = s.base.With(s.Corrections())
	s.places = make(map[ID]int, len(s.layout.Places))
	for i, p := range s.layout.Places {
		s.places[p.Frame] = i
	}
	s.nameScenes()
	if i, ok := s.places[s.canon(on)]; ok {
		s.at = i
	} else {
		s.at = max(0, min(s.at, len(s.layout.Places)-1))
	}
	s.version++
}

// Replay commits the entries of a journal. Those that make no sense, or are of a
// later version, are passed over. It does what Commit does for each, but groups
// are put right once, at the end; each, where not nil, sees an entry before it is
// committed.
func (s *Session) Replay(entries []Entry, each func(Entry)) {
	s.replaying = true
	for _, e := range entries {
		if each != nil {
			each(e)
		}
		// The line stays in the journal, and nothing else can be done with it.
		_ = s.Commit(e)
	}
	s.replaying = false
	s.correct()
}

// commitCorrection takes in a correction; one that is not about groups is the
// job's to keep.
func (s *Session) commitCorrection(e Entry) {
	c, ok := correctionOf(e.Args)
	if !ok {
		return
	}
	s.made = append(s.made, made{seq: e.Seq, c: c})
	s.push(step{seq: e.Seq, kind: stepCorrection})
	s.correct()
}

// commitScene takes in a scene's name.
func (s *Session) commitScene(e Entry) {
	hook := s.canon(ID(e.Args[0][1:]))
	was, given := s.scenes[hook]
	s.push(step{seq: e.Seq, kind: stepScene, hook: hook, was: sceneName{was, given}, becomes: sceneName{e.Args[1], true}})
	s.setScene(hook, sceneName{e.Args[1], true})
}

func (s *Session) setScene(hook ID, n sceneName) {
	if n.given {
		s.scenes[hook] = n.name
	} else {
		delete(s.scenes, hook)
	}
	s.named = true
	if !s.replaying {
		s.nameScenes()
	}
}

// restore takes a correction or a scene's name back, or does it again. What is taken
// back stood at an index of done.
func (s *Session) restore(st step, v Verb, at int) {
	switch st.kind {
	case stepCorrection:
		for i := range s.made {
			if s.made[i].seq == st.seq {
				s.made[i].undone = v == VerbUndo
			}
		}
		s.correct()
	case stepScene:
		hook := s.canon(st.hook)
		if v == VerbRedo {
			name, given := s.scenes[hook]
			s.done[len(s.done)-1].was = sceneName{name, given}
			s.setScene(hook, st.becomes)
			return
		}
		// Out of its turn: the name that was given after it stays, over the one before.
		later := slices.IndexFunc(s.done[at:], func(st step) bool { return st.kind == stepScene && s.canon(st.hook) == hook })
		if later >= 0 {
			s.done[at+later].was = st.was
			return
		}
		s.setScene(hook, st.was)
	}
}

// stepFrame is the frame that an undo or redo of a correction or a scene's name
// jumps to; the entry has been committed.
func (s *Session) stepFrame(e Entry) (ID, bool) {
	if i := slices.IndexFunc(s.made, func(m made) bool { return m.seq == e.Of }); i >= 0 {
		if c := s.made[i].c; c.Kind == SplitAt {
			return c.Others[0], true
		}
		return s.made[i].c.Frames[0], true
	}
	for _, stack := range [][]step{s.done, s.undone} {
		if i := slices.IndexFunc(stack, func(st step) bool { return st.seq == e.Of && st.kind == stepScene }); i >= 0 {
			return stack[i].hook, true
		}
	}
	return "", false
}

// Stands reports whether an entry about groups or a scene's name holds, or was
// taken back.
func (s *Session) Stands(seq uint64) bool {
	return slices.ContainsFunc(s.done, func(st step) bool { return st.seq == seq && st.kind != stepAnswers })
}
