package cull

import (
	"fmt"
	"slices"
)

// Tell says in a few words what an entry that was committed did: Summary where it
// changed frames, else what it did to groups or to a scene's name. It is empty for
// entries about other things.
func (s *Session) Tell(e Entry) string {
	if len(e.Changes) > 0 {
		return Summary(e)
	}
	switch e.Verb {
	case VerbCorrect:
		if c, ok := correctionOf(e.Args); ok {
			return c.String()
		}
	case VerbScene:
		if len(e.Args) == 2 {
			return nameWords(e.Args[1])
		}
	case VerbUndo, VerbRedo:
		what := s.stepWords(e.Of)
		if what == "" {
			return ""
		}
		if e.Verb == VerbUndo {
			return "taken back: " + what
		}
		return "again: " + what
	}
	return ""
}

func (s *Session) stepWords(seq uint64) string {
	if i := slices.IndexFunc(s.made, func(m made) bool { return m.seq == seq }); i >= 0 {
		return s.made[i].c.String()
	}
	for _, stack := range [][]step{s.done, s.undone} {
		if i := slices.IndexFunc(stack, func(st step) bool { return st.seq == seq && st.kind == stepScene }); i >= 0 {
			return nameWords(stack[i].becomes.name)
		}
	}
	return ""
}

func nameWords(name string) string {
	if name == "" {
		return "the scene has its number for a name"
	}
	return "the scene is named " + Plain(name)
}

// String says what a correction means, without naming frames.
func (c Correction) String() string {
	frames := func(n int) string {
		if n == 1 {
			return "1 frame"
		}
		return fmt.Sprintf("%d frames", n)
	}
	switch c.Kind {
	case JoinMoment:
		return frames(len(c.Frames)) + " joined into one moment"
	case JoinSeries:
		return frames(len(c.Frames)) + " joined into one series"
	case SplitAt:
		return fmt.Sprintf("split into %d and %s", len(c.Frames), frames(len(c.Others)))
	case TakeOut:
		return frames(len(c.Frames)) + " taken out of the moment"
	case LetGo:
		return "look-alikes let go, " + frames(len(c.Frames))
	case BeginScene:
		return "a scene begins here"
	case JoinScene:
		return "the scene before goes on"
	}
	return "corrected"
}
