package pane

// Match is a place that one could go to.
type Match struct {
	Name, What string
}

// Goto is the line in which one types where to go, and what it may mean; or
// something else, with what it may be completed to.
type Goto struct {
	Prompt   string // "" = go to
	Text     string
	Cursor   int // characters of Text before the cursor
	Matches  []Match
	Selected int // index into Matches; -1 = none
	Hint     string
	Notes    []string // what should be known before, below all
}

// Lines returns the line, the matches around the selected one, and the hint.
func (g Goto) Lines(st *Styles, w, height int) []string {
	rows := []row{g.line(st, w)}
	hint := wrap(clean(g.Hint), w)
	space := height - 1
	if height >= len(hint)+2 {
		space -= len(hint)
	}
	from, to, above, below := window(len(g.Matches), g.Selected, space)
	if above > 0 {
		rows = append(rows, hidden(st, above))
	}
	names := 0
	for _, m := range g.Matches[from:to] {
		names = min(max(names, width(clean(m.Name))), w*3/5)
	}
	for i := from; i < to; i++ {
		rows = append(rows, g.Matches[i].row(st, i == g.Selected, names, w))
	}
	if below > 0 {
		rows = append(rows, hidden(st, below))
	}
	for _, line := range hint {
		if len(rows) < height {
			rows = append(rows, row{{st.Quiet, line}})
		}
	}
	for _, note := range cleanAll(g.Notes) {
		rows = append(rows, nil)
		for _, line := range wrap(note, w) {
			rows = append(rows, row{{st.Text, line}})
		}
	}
	return sheet(rows, Pen{}, w, height)
}

// line is the text with the cursor in sight.
func (g Goto) line(st *Styles, w int) row {
	text := []rune(g.Text)
	at := min(max(g.Cursor, 0), len(text))
	before, under, after := clean(string(text[:at])), " ", ""
	if at < len(text) {
		under, after = clean(string(text[at:at+1])), clean(string(text[at+1:]))
	}
	prompt := "go to "
	if p := clean(g.Prompt); p != "" {
		prompt = cut(p, w/2) + " "
	}
	room := w - width(prompt) - width(under)
	if after != "" {
		room-- // for the "…" that says that it goes on
	}
	before = cutLeft(before, room)
	return row{{st.Question, prompt}, {st.Strong, before}, {st.Pending, under}, {st.Strong, after}}
}

// row is a match with its explanation in a column beside all names.
func (m Match) row(st *Styles, selected bool, names, w int) row {
	mark, name, dim, back := seg{st.Here, "  "}, st.Text, st.Quiet, Pen{}
	if selected {
		mark, name, dim, back = seg{st.hereKey, signHere + " "}, st.hereKey, st.hereDim, st.back
	}
	text := cut(clean(m.Name), names)
	out := row{mark, {name, text}, {back, spaces(names - width(text) + 3)}, {dim, clean(m.What)}}
	return append(out, seg{back, spaces(w - out.width())})
}
