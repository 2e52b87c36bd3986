package cull

import (
	"fmt"
	"slices"
)

// planStep plans to take back, or to do again, the last step of a stack, or the one
// of a number.
func planStep(e *Entry, verb Verb, stack []step, of uint64) error {
	if len(stack) == 0 {
		return fmt.Errorf("%w: there is nothing to %s", ErrNothing, verb)
	}
	last := stack[len(stack)-1]
	if of != 0 && of != last.seq {
		i := slices.IndexFunc(stack, func(st step) bool { return st.seq == of && st.kind != stepAnswers })
		if i < 0 {
			return fmt.Errorf("%w: entry %d is no correction or name that could be meant", ErrBadAction, of)
		}
		last = stack[i]
	}
	e.Verb, e.Pass, e.Of = verb, last.pass, last.seq
	for _, c := range last.changes {
		from, to := c.before, c.after
		if verb == VerbUndo {
			from, to = to, from
		}
		e.Changes = append(e.Changes, Change{c.frame, from.Answer, to.Answer, to.Shown, to.Explicit})
	}
	return nil
}

func (s *Session) planPass(e *Entry, p Pass) error {
	if err := s.checkPass(p); err != nil {
		return err
	}
	if old, ok := s.PassNamed(p.Name); ok && old == p {
		return fmt.Errorf("%w: the pass %s is defined like that already", ErrNothing, p.Name)
	}
	e.Verb, e.Args = VerbPass, passArgs(p)
	return nil
}

func (s *Session) checkPass(p Pass) error {
	own, of := s.passIndex(p.Name), s.passIndex(p.Source.Of)
	switch {
	case !ValidPassName(p.Name):
		return fmt.Errorf("%w: a pass cannot be named %s", ErrBadAction, quote(p.Name))
	case p.Source.Of == "" && p.Source.Answer != Open:
		return fmt.Errorf("%w: the source has an answer but no pass", ErrBadAction)
	case p.Source.Of == "":
		return nil
	case p.Name == KeepPass:
		return fmt.Errorf("%w: the pass keep asks about all frames", ErrBadAction)
	case of < 0:
		return fmt.Errorf("%w: %s", ErrUnknownPass, quote(p.Source.Of))
	case own >= 0 && of >= own:
		// Sources that only look back can form no circle.
		return fmt.Errorf("%w: the pass %s is older than %s", ErrBadAction, p.Name, p.Source.Of)
	}
	return s.checkAnswer(p.Source.Of, p.Source.Answer)
}

// passArgs spells a pass as the words after "pass" in a line of decide.
func passArgs(p Pass) []string {
	args := []string{p.Name}
	if p.Source.Of != "" {
		args = append(args, "from", p.Source.Of, p.Source.Answer.String())
	}
	if p.Question != "" {
		args = append(args, p.Question)
	}
	return args
}

func passOfArgs(args []string) (p Pass, ok bool) {
	switch len(args) {
	case 2, 5:
		p.Question = args[len(args)-1]
		args = args[:len(args)-1]
	}
	switch len(args) {
	case 1:
		p.Name = args[0]
		return p, true
	case 4:
		p.Name, p.Source.Of = args[0], args[2]
		p.Source.Answer, ok = ParseAnswer(args[3])
		return p, ok && args[1] == "from"
	}
	return Pass{}, false
}

func (s *Session) planScene(e *Entry, a NameScene) error {
	i, ok := s.places[s.canon(a.Frame)]
	if !ok {
		return fmt.Errorf("%w: %s", ErrUnknownFrame, s.label(a.Frame))
	}
	scene := s.layout.Places[i].Scene
	if scene < 0 || scene >= len(s.layout.Scenes) {
		return fmt.Errorf("%w: the frame is in no scene", ErrBadAction)
	}
	// A name already there is replaced where it hangs, so that a scene that got
	// an earlier frame since does not end up with two names.
	hook, named := s.sceneHook(scene)
	if !named {
		hook = s.layout.Scenes[scene].First
	}
	if s.scenes[hook] == a.Name {
		return fmt.Errorf("%w: the scene is named like that already", ErrNothing)
	}
	e.Verb, e.Args = VerbScene, []string{"#" + string(hook), a.Name}
	return nil
}

// sceneHook finds the first frame of a scene that carries a name.
func (s *Session) sceneHook(scene int) (ID, bool) {
	i := slices.IndexFunc(s.layout.Places, func(p Place) bool {
		return p.Scene == scene && s.scenes[p.Frame] != ""
	})
	if i < 0 {
		return "", false
	}
	return s.layout.Places[i].Frame, true
}

func (s *Session) planRecord(e *Entry, a Record) error {
	if a.Verb == VerbCorrect {
		if c, ok := correctionOf(a.Args); ok {
			return s.planCorrect(e, c)
		}
	}
	switch a.Verb {
	case VerbLetter, VerbOffset, VerbCorrect:
	default:
		return fmt.Errorf("%w: %s is no record", ErrBadAction, quote(string(a.Verb)))
	}
	if len(a.Args) == 0 {
		return fmt.Errorf("%w: %s needs words after it", ErrBadAction, a.Verb)
	}
	e.Verb, e.Args = a.Verb, slices.Clone(a.Args)
	return nil
}
