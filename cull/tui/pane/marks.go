package pane

// Mark is something that the measurements say of a frame, in words and in ever less
// room: the last of its forms is a sign.
type Mark struct {
	Forms []string
	Look  bool // it is a reason to look closer
}

// rankTime is the rank of the time beside marks: it goes first.
const rankTime = 6

// part is the mark in the longest form that there is room for.
func (m Mark) part(st *Styles, rank int, pen, look Pen) part {
	if m.Look {
		pen = look
	}
	forms := make([]string, len(m.Forms))
	for i, f := range m.Forms {
		forms[i] = clean(f)
	}
	return say(rank, pen, forms...)
}

// marks are those of a rung: the first keeps its words longest.
func (r Rung) marks(st *Styles) []part {
	pen, look := st.Mark, st.Warn
	if r.Here {
		pen, look = st.hereMark, st.hereWarn
	}
	var parts []part
	for i, m := range r.Marks[:min(len(r.Marks), 3)] {
		parts = append(parts, m.part(st, 2+i, pen, look))
	}
	return parts
}

// whyLines is how many lines the ladder says why in, at most.
const whyLines = 4

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
