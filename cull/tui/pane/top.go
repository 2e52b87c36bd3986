package pane

import "garner/cull"

// Top is the top of the screen: what is asked, of which frame.
type Top struct {
	Pass, Question string
	Name           string
	Answer         cull.Answer
	Explicit       bool     // answered by itself, not with its burst
	Facts          []string // most important first
	Body, Scene    string
	Position       int // among the frames that are asked about, from 1
	Total          int
	Pending        string   // what a key that was begun waits for: "w: whole burst"
	Waiting        bool     // the picture is not on the screen yet: nothing is asked
	Marks          []string // what else the frame carries: "camera rating 3"
	Seen           []Mark   // what the measurements say of it, where no ladder does
	Hatching       string   // how the picture is hatched: "///"; "" = not
	Hatched        string   // what that means
	Loupe          *Loupe   // what is seen close; nil = the whole picture is seen
	Alike          int      // frames of other moments that look alike
	Merge          bool     // the frame is one of a series: yes makes it the lead of a merge
	Only           string   // what alone is walked: "dropped, never shown"; "" = all
	OnlyAt, OnlyOf int      // which of them the frame is, from 1, and how many there are
}

// Ranks of the parts of the top line: what goes first has the highest.
const (
	rankAsked = iota
	rankAnswer
	rankPending
	rankOnly
	rankHatching
	rankLoupe
	rankPreview
	rankPosition
	rankFrom
	rankSeen
	rankAlike
	rankMarks
	rankScene
	rankBody
	rankFacts
)

// Lines returns the top of the screen: one line in the pass keep, whose question
// is known by heart; in any other pass the question large, in three lines if tall,
// else in one that cannot be mistaken for the other.
func (t Top) Lines(st *Styles, w int, tall bool) []string {
	switch {
	case t.Pass == "" || t.Pass == cull.KeepPass:
		return []string{t.line(st, say(rankAsked, t.pen(st.Question, st.Quiet), t.asked(t.keepOrMerge())), w).draw(Pen{}, w)}
	case tall:
		return t.large(st, w)
	}
	long, middle, short := " "+clean(t.Pass)+": "+t.question()+" ", " "+t.question()+" ", " "+clean(t.Pass)+"? "
	question := say(rankAsked, t.pen(st.Band, st.BandQuiet), t.asked(long), t.asked(middle), t.asked(short))
	return []string{t.line(&Styles{
		Text: st.BandQuiet, Quiet: st.BandQuiet, Kept: st.Band, Dropped: st.BandQuiet, Part: st.Band, Open: st.BandQuiet,
		Pending: st.Pending, Mark: st.Band, Strong: st.Band,
	}, question, w).draw(st.BandQuiet, w)}
}

// large is a band of two lines with the question, and a line with the frame.
func (t Top) large(st *Styles, w int) []string {
	above := spread(
		[]part{say(0, st.BandQuiet, " pass "+clean(t.Pass))},
		[]part{say(1, st.BandQuiet, t.position()+" ")}, 3, w)
	question := row{{t.pen(st.Band, st.BandQuiet), t.asked(" " + t.question())}}
	return []string{
		above.draw(st.BandQuiet, w),
		question.draw(st.Band, w),
		t.line(st, part{}, w).draw(Pen{}, w),
	}
}

func (t Top) question() string {
	if q := clean(t.Question); q != "" {
		return q
	}
	return clean(t.Pass) + "?"
}

// keepOrMerge is the question of the pass keep: a series is material for one
// picture.
func (t Top) keepOrMerge() string {
	if t.Merge {
		return "merge?"
	}
	return "keep?"
}

// asked is the question, or as much room while nothing is asked: nothing may
// jump about when the picture comes a moment later.
func (t Top) asked(question string) string {
	if !t.Waiting {
		return question
	}
	wait := "wait" + more
	if question[0] == ' ' {
		wait = " " + wait
	}
	return wait + spaces(width(question)-width(wait))
}

func (t Top) pen(asked, waiting Pen) Pen {
	if t.Waiting {
		return waiting
	}
	return asked
}

func (t Top) position() string {
	if t.Total <= 0 {
		return ""
	}
	return number(t.Position) + " of " + number(t.Total)
}

// line is the frame: its sign, name and answer after what is asked, then its
// facts, and where it stands.
func (t Top) line(st *Styles, asked part, w int) row {
	frame := part{rank: rankAsked}
	pen := st.answer(t.Answer, false)
	for _, n := range names(t.Name) {
		frame.forms = append(frame.forms, row{{t.signPen(st), sign(t.Answer) + " "}, {pen, n}})
	}
	left := []part{asked, frame, t.answer(st), say(rankPending, st.Pending, pad(clean(t.Pending))), t.only(st)}
	left = append(left, t.Loupe.parts(st)...)
	if t.Alike > 0 {
		left = append(left, say(rankAlike, st.Mark, number(t.Alike)+" alike"))
	}
	if sign := clean(t.Hatching); sign != "" {
		left = append(left, say(rankHatching, st.Mark, sign), say(rankPreview, st.Mark, clean(t.Hatched)))
	}
	for _, m := range t.Seen {
		seen := m.part(st.Mark, st.Warn)
		seen.rank = rankSeen
		left = append(left, seen)
	}
	for _, m := range cleanAll(t.Marks) {
		left = append(left, say(rankMarks, st.Mark, m))
	}
	for i, f := range cleanAll(t.Facts) {
		left = append(left, say(rankFacts+i, st.Quiet, f))
	}
	var right []part
	if s := clean(t.Scene); s != "" {
		right = append(right, say(rankScene, st.Quiet, "scene "+s, s))
	}
	if b := clean(t.Body); b != "" {
		right = append(right, say(rankBody, st.Quiet, "body "+b))
	}
	right = append(right, say(rankPosition, st.Text, t.position()))
	if asked.forms == nil {
		left = left[1:]
	}
	return spread(left, right, 2, w)
}

// only says that not all is walked, and what is.
func (t Top) only(st *Styles) part {
	what := clean(t.Only)
	if what == "" {
		return part{}
	}
	n := number(t.OnlyOf)
	if t.OnlyAt > 0 {
		n = number(t.OnlyAt) + " of " + n
	}
	return say(rankOnly, st.Pending, pad("review: "+what+" ("+n+")"), pad("review: "+cut(what, 16)+" ("+n+")"), pad("review ("+n+")"))
}

// signPen is the pen of the sign: a dropped frame's is not struck through.
func (t Top) signPen(st *Styles) Pen {
	if t.Answer == cull.No {
		return st.Quiet
	}
	return st.answer(t.Answer, false)
}

func (t Top) answer(st *Styles) part {
	w := word(t.Answer, t.Pass)
	pen := st.Quiet
	if t.Answer == cull.Yes || t.Answer == cull.Part {
		pen = st.Kept
	}
	if t.Answer != cull.Open && !t.Explicit {
		return say(rankAnswer, pen, w+" with its burst", w)
	}
	return say(rankAnswer, pen, w)
}

// pad puts a space to each side of a text that is drawn reversed.
func pad(s string) string {
	if s == "" {
		return ""
	}
	return " " + s + " "
}
