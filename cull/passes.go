package cull

import (
	"slices"
	"time"
)

// Two later passes whose answers change what is handed over: a no in the review of
// the kept frames takes one out, a yes in the rescue of the dropped ones takes one
// in.
const (
	ReviewPass = "review"
	RescuePass = "rescue"
)

// Outcome is what was decided of a frame in the end, by its answers in the pass keep,
// in the review of the kept ones and in the rescue of the dropped ones.
func Outcome(keep, review, rescue Answer) Answer {
	switch {
	case (keep == Yes || keep == Part) && review == No:
		return No
	case keep == No && rescue == Yes:
		return Yes
	}
	return keep
}

// TakenBack reports whether a frame that the pass keep answered with no is wanted all
// the same: the rescue says yes, or another pass that asks about the frame. A yes that
// sleeps, in a pass of the kept ones, does not count. passes are in order of definition.
func TakenBack(passes []Pass, answer func(pass string) Answer) bool {
	if answer(KeepPass) != No {
		return false
	}
	if answer(RescuePass) == Yes {
		return true
	}
	asks := map[string]bool{}
	for _, p := range passes { // a source stands before what it is the source of
		of := p.Source.Of
		asks[p.Name] = of == "" || asks[of] && answer(of) == p.Source.Answer
		if p.Name != KeepPass && asks[p.Name] && answer(p.Name) == Yes {
			return true
		}
	}
	return false
}

// Outcome is what was decided of a frame in the end.
func (s *Session) Outcome(id ID) Answer {
	in := func(pass string) Answer { return s.Decision(pass, id).Answer }
	return Outcome(in(KeepPass), in(ReviewPass), in(RescuePass))
}

// Passes returns the passes in order of definition; keep is the first.
func (s *Session) Passes() []Pass { return slices.Clone(s.passes) }

// PassNamed finds a pass.
func (s *Session) PassNamed(name string) (Pass, bool) {
	i := s.passIndex(name)
	if i < 0 {
		return Pass{}, false
	}
	return s.passes[i], true
}

func (s *Session) passIndex(name string) int {
	return slices.IndexFunc(s.passes, func(p Pass) bool { return p.Name == name })
}

// Eligible reports whether a pass asks about a frame: the frame is in the
// layout and, up the chain of sources, has the answers that let it in. So a
// later pass follows every change of an earlier one, and an answer given there
// sleeps while its frame is not asked about.
func (s *Session) Eligible(pass string, id ID) bool {
	id = s.canon(id)
	_, ok := s.places[id]
	return ok && s.asks(s.passIndex(pass), id)
}

// asks is Eligible for a frame of the layout and the index of a pass; -1 asks
// about nothing.
func (s *Session) asks(pass int, id ID) bool {
	for pass >= 0 {
		src := s.passes[pass].Source
		if src.Of == "" {
			return true
		}
		if s.answers[src.Of][id].Answer != src.Answer {
			return false
		}
		// A source is always defined earlier, so the chain ends.
		pass = s.passIndex(src.Of)
	}
	return false
}

// Frames returns the frames that a pass asks about, in order.
func (s *Session) Frames(pass string) []ID {
	var ids []ID
	of := s.passIndex(pass)
	for _, p := range s.layout.Places {
		if s.asks(of, p.Frame) {
			ids = append(ids, p.Frame)
		}
	}
	return ids
}

// Counts says how far a pass has come.
type Counts struct {
	Yes, No, Part, Open int
}

// All is the number of frames that the pass asks about.
func (c Counts) All() int { return c.Yes + c.No + c.Part + c.Open }

// Add counts n more frames with an answer; with n below zero, fewer.
func (c *Counts) Add(a Answer, n int) {
	switch a {
	case Yes:
		c.Yes += n
	case No:
		c.No += n
	case Part:
		c.Part += n
	default:
		c.Open += n
	}
}

// Progress counts the answers of the frames that a pass asks about.
func (s *Session) Progress(pass string) Counts {
	var c Counts
	of, answers := s.passIndex(pass), s.answers[pass]
	for _, p := range s.layout.Places {
		if !s.asks(of, p.Frame) {
			continue
		}
		c.Add(answers[p.Frame].Answer, 1)
	}
	return c
}

// Touched is the time of the last entry that changed a frame in any pass, undo
// and redo included; zero if none did.
func (s *Session) Touched(id ID) time.Time {
	ms, ok := s.touched[s.canon(id)]
	if !ok {
		return time.Time{}
	}
	return time.UnixMilli(ms).UTC()
}
