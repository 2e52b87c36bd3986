package pane

import "slices"

// Mark is something that the measurements say of a frame, in words and in ever less
// room: the last of its forms is a sign.
type Mark struct {
	Forms []string
	Look  bool // it is a reason to look closer
}

// The ranks of what stands beside a frame's name: the body goes first, then the time
// or the moment, then the marks.
const (
	rankMark = iota + 1
	rankNote
	rankFrameBody
)

// part is the mark in the longest form that there is room for.
func (m Mark) part(pen, look Pen) part {
	if m.Look {
		pen = look
	}
	return say(rankMark, pen, cleanAll(m.Forms[:min(len(m.Forms), 4)])...)
}

// mostMarks is how many marks a rung shows.
const mostMarks = 3

// marks are those of a rung in as many words as there is room for: all of them, or
// none.
func (r Rung) marks(st *Styles) part {
	pen, look, back := st.Mark, st.Warn, Pen{}
	if r.Here {
		pen, look, back = st.hereMark, st.hereWarn, st.back
	}
	var forms []row
	for i, m := range r.Marks[:min(len(r.Marks), mostMarks)] {
		next := m.part(pen, look).forms
		if i == 0 || len(next) == 0 {
			forms = append(forms, next...)
			continue
		}
		var both []row
		for _, before := range forms {
			for _, after := range next {
				both = append(both, slices.Concat(before, row{{back, " "}}, after))
			}
		}
		forms = both
	}
	slices.SortStableFunc(forms, func(a, b row) int { return b.width() - a.width() })
	return part{rankMark, forms}
}

// whyLines is how many lines the ladder says why in, at most.
const whyLines = 6

// whyRows say why a rung is marked or none is, below the rungs, as far as these leave
// room.
func (l Ladder) whyRows(st *Styles, w, space int) []row {
	lines := wrap(clean(l.Why), w)
	room := min(whyLines+1, space-min(len(l.Rungs), 6))
	if len(lines) == 0 || room < 2 {
		return nil
	}
	if over := len(lines) - (room - 1); over > 0 {
		lines = lines[:room-1]
		lines[room-2] = cut(lines[room-2]+more, w)
	}
	rows := []row{nil}
	for _, line := range lines {
		rows = append(rows, row{{st.Quiet, line}})
	}
	return rows
}
