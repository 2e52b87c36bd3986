package cull

import (
	"fmt"
	"time"
)

// Plan computes the entry that an action would journal, numbered as the next
// one, and changes nothing. Its errors wrap the Err values of this package. The
// entry may be committed as long as no other was committed in between.
func (s *Session) Plan(a Action, at time.Time, who string) (Entry, error) {
	e := Entry{Seq: s.lastSeq + 1, At: stamp(at), Who: who}
	var err error
	switch a := a.(type) {
	case Decide:
		err = s.planDecide(&e, a)
	case DecideBurst:
		err = s.planBurst(&e, a)
	case Only:
		err = s.planOnly(&e, a)
	case Merge:
		err = s.planMerge(&e, a)
	case Correct:
		err = s.planCorrect(&e, a.Correction)
	case Join:
		err = s.planJoin(&e, a)
	case Split:
		err = s.planSplit(&e, a.Frame)
	case Out:
		err = s.planOut(&e, a.Frame)
	case Apart:
		err = s.planApart(&e, a.Frame)
	case SceneBegin:
		err = s.planSceneBegin(&e, a.Frame)
	case Undo:
		err = planStep(&e, VerbUndo, s.done, a.Of)
	case Redo:
		err = planStep(&e, VerbRedo, s.undone, a.Of)
	case DefinePass:
		err = s.planPass(&e, a.Pass)
	case NameScene:
		err = s.planScene(&e, a)
	case Record:
		err = s.planRecord(&e, a)
	default:
		err = fmt.Errorf("%w: unknown action %T", ErrBadAction, a)
	}
	if err != nil {
		return Entry{}, err
	}
	if year := e.At.Year(); year < 1 || year > 9999 {
		return Entry{}, fmt.Errorf("%w: the year %d cannot be journalled", ErrBadAction, year)
	}
	if len(e.Changes) > MaxChanges || len(FormatEntry(e)) > MaxLine {
		return Entry{}, fmt.Errorf("%w: too much for one entry of the journal", ErrBadAction)
	}
	return e, nil
}

func (s *Session) planDecide(e *Entry, a Decide) error {
	e.Verb, e.Pass = VerbAnswer, a.Pass
	if a.RequireShown && !a.Shown {
		return ErrNotShown
	}
	if err := s.checkAnswer(a.Pass, a.Answer); err != nil {
		return err
	}
	seen := map[ID]bool{}
	for _, id := range a.Frames {
		id = s.canon(id)
		if err := s.checkFrame(a.Pass, id); err != nil {
			return err
		}
		d := s.answers[a.Pass][id]
		// The same answer again counts only where it turns a burst's answer into one's own.
		if seen[id] || d.Answer == a.Answer && (d.Explicit || a.Answer == Open) {
			continue
		}
		seen[id] = true
		e.Changes = append(e.Changes, Change{id, d.Answer, a.Answer, a.Shown, a.Answer != Open})
	}
	if len(e.Changes) == 0 {
		return fmt.Errorf("%w: that answer stands already", ErrNothing)
	}
	return nil
}

func (s *Session) planBurst(e *Entry, a DecideBurst) error {
	e.Verb, e.Pass = VerbBurst, a.Pass
	if err := s.checkAnswer(a.Pass, a.Answer); err != nil {
		return err
	}
	frames, err := s.meant(a.Pass, a.Frame, a.Exact)
	if err != nil {
		return err
	}
	for _, id := range frames {
		d := s.answers[a.Pass][id]
		if d.Answer != a.Answer && !standsAlone(d) {
			e.Changes = append(e.Changes, Change{id, d.Answer, a.Answer, a.Shown[id], false})
		}
	}
	if len(e.Changes) == 0 {
		return fmt.Errorf("%w: every frame of the moment has that answer or was decided by itself", ErrNothing)
	}
	return nil
}

func (s *Session) planOnly(e *Entry, a Only) error {
	e.Verb = VerbOnly
	nothing, err := s.planLead(e, a, No)
	if err == nil && nothing {
		err = fmt.Errorf("%w: it is kept, and what else of its moment was not decided by itself is dropped already", ErrNothing)
	}
	return err
}

func (s *Session) planMerge(e *Entry, a Merge) error {
	e.Verb = VerbMerge
	if err := s.checkAnswer(a.Pass, Part); err != nil {
		return err
	}
	if len(s.Moment(a.Frame)) < 2 && len(a.Exact) < 2 {
		return fmt.Errorf("%w: its moment has no other frame to merge it with", ErrNothing)
	}
	nothing, err := s.planLead(e, Only(a), Part)
	if err == nil && nothing {
		err = fmt.Errorf("%w: it is the lead already, as far as the others were not decided by themselves", ErrNothing)
	}
	return err
}

// planLead keeps one frame and gives the rest of its moment another answer. It
// reports whether all that stands already.
func (s *Session) planLead(e *Entry, a Only, rest Answer) (nothing bool, err error) {
	e.Pass = a.Pass
	kept := s.canon(a.Frame)
	if a.RequireShown && !a.Shown[kept] && !a.Shown[a.Frame] {
		return false, ErrNotShown
	}
	if err := s.checkAnswer(a.Pass, Yes); err != nil {
		return false, err
	}
	frames, err := s.meant(a.Pass, kept, a.Exact)
	if err != nil {
		return false, err
	}
	d := s.answers[a.Pass][kept]
	e.Changes = []Change{{kept, d.Answer, Yes, a.Shown[kept] || a.Shown[a.Frame], true}}
	for _, id := range frames {
		d := s.answers[a.Pass][id]
		if id != kept && d.Answer != rest && !standsAlone(d) {
			e.Changes = append(e.Changes, Change{id, d.Answer, rest, a.Shown[id], false})
		}
	}
	return len(e.Changes) == 1 && d.Answer == Yes && d.Explicit, nil
}
