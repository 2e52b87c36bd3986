package cull

import "strings"

// CorrectionKind says what a person changed about the groups.
type CorrectionKind string

// The kinds of Correction. The words stand in the journal after "correct".
const (
	JoinMoment CorrectionKind = "join"   // Frames are one moment
	JoinSeries CorrectionKind = "series" // Frames are one moment, material for one picture
	SplitAt    CorrectionKind = "split"  // Frames and Others are in different moments
	TakeOut    CorrectionKind = "out"    // each of Frames is a moment by itself
	LetGo      CorrectionKind = "apart"  // no two moments of Frames are look-alikes
	BeginScene CorrectionKind = "scene-begins"
	JoinScene  CorrectionKind = "scene-goes-on" // no scene begins with the moment of Frames[0]
)

// Correction is a grouping by hand. Frames are all the frames meant when the key
// was pressed, so that grouping anew changes nothing about it; a frame that came
// later goes with the one of its automatic moment that it follows. Of several
// corrections the later one holds.
type Correction struct {
	Kind   CorrectionKind
	Frames []ID
	Others []ID // for SplitAt: those from the place of the split on
}

// CorrectHas is the word after "correct" of an entry that says which frames are a
// picture that the job has to have. It is no correction of groups; the job keeps it.
const CorrectHas = "has"

// CorrectFinished is the word after "correct" of an entry that says which frames a
// picture shows that came back from the editor, and CorrectNone that it shows none.
// The job keeps these too.
const (
	CorrectFinished = "finished"
	CorrectNone     = "none"
)

// splitMark stands between Frames and Others in the journal.
const splitMark = "/"

// groups reports whether the kind is one of those above. The journal has further
// kinds of "correct", which are about other things than groups.
func (k CorrectionKind) groups() bool {
	switch k {
	case JoinMoment, JoinSeries, SplitAt, TakeOut, LetGo, BeginScene, JoinScene:
		return true
	}
	return false
}

// args spells a correction as the words after "correct".
func (c Correction) args() []string {
	args := []string{string(c.Kind)}
	for _, id := range c.Frames {
		args = append(args, "#"+string(id))
	}
	if c.Kind == SplitAt {
		args = append(args, splitMark)
		for _, id := range c.Others {
			args = append(args, "#"+string(id))
		}
	}
	return args
}

// correctionOf undoes args. ok is false for a correction of something else than
// the groups, of a later version, or that makes no sense: such a line stays in the
// journal and is passed over.
func correctionOf(args []string) (c Correction, ok bool) {
	if len(args) < 2 || !CorrectionKind(args[0]).groups() {
		return Correction{}, false
	}
	c.Kind = CorrectionKind(args[0])
	list, cut := &c.Frames, false
	for _, a := range args[1:] {
		id, named := strings.CutPrefix(a, "#")
		switch {
		case a == splitMark && c.Kind == SplitAt && !cut:
			list, cut = &c.Others, true
		case !named || id == "":
			return Correction{}, false
		default:
			*list = append(*list, ID(id))
		}
	}
	if len(c.Frames) == 0 || cut != (len(c.Others) > 0) || c.Kind == SplitAt && !cut {
		return Correction{}, false
	}
	return c, true
}

// mapped returns the correction with every id put through to.
func (c Correction) mapped(to func(ID) ID) Correction {
	put := func(ids []ID) []ID {
		if ids == nil {
			return nil
		}
		out := make([]ID, len(ids))
		for i, id := range ids {
			out[i] = to(id)
		}
		return out
	}
	return Correction{c.Kind, put(c.Frames), put(c.Others)}
}
