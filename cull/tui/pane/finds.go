package pane

import (
	"time"

	"garner/cull"
)

// Finds is what stands above and below frames that were found again: which one the
// cursor is on, and what is known of it.
type Finds struct {
	Number, Total int // which frame, from 1
	Name, Job     string
	At            time.Time // by the clock; zero = not known
	Answer        cull.Answer
	Facts         []string // most important first
	Remark        string   // what a person should know of what is seen
	Taken         bool     // it is to be copied
	Marked        int      // how many are
	Taking        string   // folder that they are copied into
	Loupe         *Loupe   // what is seen close; nil = no part is

	Notice Notice
	Hint   string
}

// Ranks of the parts of the two lines: what goes first has the highest.
const (
	rankFind = iota
	rankFindMarked
	rankFindTime
	rankFindJob
	rankFindTaking
	rankFindFacts
	rankFindRemark = rankFindFacts + 2
)

// Top returns the two lines above the frames.
func (f Finds) Top(st *Styles, w int) []string {
	name := part{rank: rankFind}
	for _, n := range names(f.Name) {
		name.forms = append(name.forms, row{{st.answer(f.Answer, false), n}})
	}
	name.forms = append(name.forms, row{{st.answer(f.Answer, false), cut(clean(f.Name), max(8, w/3))}})
	left := []part{name, say(rankFindJob, st.Text, clean(f.Job), cut(clean(f.Job), 16))}
	if !f.At.IsZero() {
		left = append(left, say(rankFindTime, st.Text, f.At.Format("2006-01-02 15:04:05"), f.At.Format("2006-01-02 15:04"), f.At.Format(time.DateOnly)))
	}
	if f.Taken {
		left = append(left, say(rankFindMarked, st.Pending, pad("to be copied"), pad("copy")))
	}
	above := spread(left, []part{say(rankFind, st.Text, "frame "+number(f.Number)+" of "+number(f.Total), number(f.Number)+" of "+number(f.Total))}, 2, w)

	var below, right []part
	below = append(below, f.Loupe.parts(st)...)
	for i, fact := range cleanAll(f.Facts) {
		below = append(below, say(rankFindFacts+i, st.Quiet, fact))
	}
	if r := clean(f.Remark); r != "" {
		below = append(below, say(rankFindRemark, st.Warn, signBroken+" "+r, signBroken+" "+cut(r, 24), signBroken))
	}
	if f.Marked > 0 {
		n := number(f.Marked) + " to be copied"
		right = append(right, say(rankFindTaking, st.Question, n+" into "+clean(f.Taking), n))
	}
	return []string{above.draw(Pen{}, w), spread(below, right, 2, w).draw(Pen{}, w)}
}

// Bottom returns the last row: what was said, else which keys there are.
func (f Finds) Bottom(st *Styles, w int) string { return under(st, f.Notice, f.Hint, w) }
