package cull

import (
	"fmt"
	"slices"
)

// Commit applies an entry: one just planned and made durable, or one replayed
// from the journal. It is the only way in which decisions change. Entries come
// in rising order of Seq. It is lenient about a journal that lost lines: what
// an entry says of its frames stands, whatever it found before. An error means
// that nothing was changed.
func (s *Session) Commit(e Entry) error {
	if e.Seq <= s.lastSeq {
		return fmt.Errorf("%w: entry %d comes after entry %d", ErrBadAction, e.Seq, s.lastSeq)
	}
	e.At = stamp(e.At)
	switch e.Verb {
	case VerbAnswer, VerbBurst, VerbOnly, VerbMerge:
		if err := s.knowPass(e.Pass); err != nil {
			return err
		}
		s.push(s.replace(e))
		s.advance(e)
	case VerbUndo, VerbRedo:
		if e.Pass != "" || len(e.Changes) > 0 {
			if err := s.knowPass(e.Pass); err != nil {
				return err
			}
		}
		s.commitStep(e)
		s.jump(e)
	case VerbPass:
		if err := s.commitPass(e.Args); err != nil {
			return err
		}
	case VerbScene:
		if len(e.Args) != 2 || len(e.Args[0]) < 2 || e.Args[0][0] != '#' {
			return fmt.Errorf("%w: a scene entry needs a frame and a name", ErrBadAction)
		}
		s.commitScene(e)
	case VerbCorrect:
		s.commitCorrection(e)
	case VerbLetter, VerbOffset:
		// Kept by the job; they reach the session as names and layouts.
	default:
		return fmt.Errorf("%w: unknown verb %s", ErrBadAction, quote(string(e.Verb)))
	}
	s.lastSeq = e.Seq
	s.version++
	return nil
}

// replace lets an entry's answers stand and returns what they replaced.
func (s *Session) replace(e Entry) step {
	st := step{seq: e.Seq, pass: e.Pass, changes: make([]replaced, 0, len(e.Changes))}
	for _, c := range e.Changes {
		id := s.canon(c.Frame)
		d := Decision{Answer: c.After, Who: e.Who, At: e.At, Shown: c.Shown, Explicit: c.Explicit, Seq: e.Seq}
		st.changes = append(st.changes, replaced{id, s.answers[e.Pass][id], d})
		s.set(e.Pass, id, d)
		s.touched[id] = e.At.UnixMilli()
	}
	return st
}

// set stores a decision; the zero decision is stored as nothing, so that undoing
// everything leaves nothing.
func (s *Session) set(pass string, id ID, d Decision) {
	if d == (Decision{}) {
		delete(s.answers[pass], id)
		return
	}
	if s.answers[pass] == nil {
		s.answers[pass] = map[ID]Decision{}
	}
	s.answers[pass][id] = d
}

// push adds a step. What was undone can't be done again by a key from then on.
func (s *Session) push(st step) {
	s.done = append(s.done, st)
	s.past = append(s.past, s.undone...)
	s.undone = nil
}

// commitStep moves the step that e.Of names from one stack to the other and
// restores its decisions completely, with who, when and number of their own.
func (s *Session) commitStep(e Entry) {
	from, to := []*[]step{&s.done}, &s.undone
	if e.Verb == VerbRedo {
		// A journal from before corrections and names were steps may do one again
		// across them.
		from, to = []*[]step{&s.undone, &s.past}, &s.done
	}
	st, at, ok := take(e.Of, from)
	if !ok { // the entry meant was lost with its line; what this one says of the frames is left
		if len(e.Changes) > 0 {
			s.replace(e)
		}
		return
	}
	*to = append(*to, st)
	if st.kind != stepAnswers {
		s.restore(st, e.Verb, at)
		return
	}
	for k := range st.changes {
		c, d := st.changes[k], st.changes[k].after
		if e.Verb == VerbUndo {
			// Backwards, should a frame stand twice in one entry.
			c = st.changes[len(st.changes)-1-k]
			d = c.before
		}
		id := s.canon(c.frame)
		s.set(st.pass, id, d)
		s.touched[id] = e.At.UnixMilli()
	}
}

func (s *Session) commitPass(args []string) error {
	p, ok := passOfArgs(args)
	if !ok {
		return fmt.Errorf("%w: a pass entry that cannot be read", ErrBadAction)
	}
	if err := s.checkPass(p); err != nil {
		return err
	}
	if i := s.passIndex(p.Name); i >= 0 {
		s.passes[i] = p
	} else {
		s.passes = append(s.passes, p)
	}
	return nil
}

// take finds the step of a number and takes it out of its stack, where it stood at
// an index.
func take(seq uint64, from []*[]step) (st step, at int, ok bool) {
	for _, stack := range from {
		for i, st := range slices.Backward(*stack) {
			if st.seq == seq {
				*stack = slices.Delete(*stack, i, i+1)
				return st, i, true
			}
		}
	}
	return step{}, 0, false
}

// knowPass defines a pass whose own line was lost, over all frames, so that its
// answers are not lost too.
func (s *Session) knowPass(name string) error {
	if !ValidPassName(name) && !wasPassName(name) {
		return fmt.Errorf("%w: no pass can be named %s", ErrBadAction, quote(name))
	}
	if s.passIndex(name) < 0 {
		s.passes = append(s.passes, Pass{Name: name})
	}
	return nil
}
