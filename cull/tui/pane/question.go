package pane

// Question is asked in place of everything else, when the person has to choose.
type Question struct {
	Title    string
	Text     []string
	Keys     []KeyLine
	Sleeping bool // keys are being typed that were meant for something else: they are swallowed
}

// Lines returns what is asked, why, and which keys answer.
func (q Question) Lines(st *Styles, w, height int) []string {
	room := w
	rows := []row{{{st.Band, " " + clean(q.Title)}}}
	var text []row
	for _, s := range q.Text {
		for _, l := range wrap(clean(s), min(room-2, 76)) {
			text = append(text, row{{text: " "}, {st.Text, l}})
		}
	}
	keys := q.keys(st, room)
	space := height - len(rows) - len(keys)
	gap := space >= len(text)+3
	if gap {
		rows = append(rows, nil)
		space -= 3
	}
	if over := len(text) - max(0, space); over > 0 {
		text = text[:len(text)-over]
	}
	rows = append(rows, text...)
	if gap {
		rows = append(rows, nil)
	}
	rows = append(rows, keys...)
	lines := sheet(rows, Pen{}, w, height)
	if len(lines) > 0 {
		lines[0] = rows[0].draw(st.Band, w)
	}
	return lines
}

func (q Question) keys(st *Styles, w int) []row {
	widest := 0
	for _, k := range q.Keys {
		widest = max(widest, width(k.keys()))
	}
	widest = min(widest, max(1, w/3))
	var rows []row
	for _, k := range q.Keys {
		if q.Sleeping {
			k.Why = ""
		}
		for _, r := range k.rows(st, widest, w-2, true) {
			if q.Sleeping {
				for i := range r {
					r[i].pen = st.Quiet
				}
			}
			rows = append(rows, append(row{{text: " "}}, r...))
		}
	}
	if q.Sleeping {
		rows = append(rows, row{{st.Quiet, " waiting until no key is typed" + more}})
	}
	return rows
}
