package pane

// Message stands where the picture would: a frame that cannot be shown, a
// picture that is being made, a job without frames.
type Message struct {
	Title string
	Lines []string
}

// Block returns the message in the middle of the space, wrapped.
func (m Message) Block(st *Styles, w, height int) []string {
	room := min(w, 64)
	if w > 24 {
		room = min(w-4, 64)
	}
	var rows []row
	for _, l := range wrap(clean(m.Title), room) {
		rows = append(rows, row{{st.Strong, l}})
	}
	if len(rows) > 0 && len(m.Lines) > 0 && height >= 4 {
		rows = append(rows, nil)
	}
	for _, text := range m.Lines {
		lines := wrap(clean(text), room)
		if len(lines) == 0 {
			rows = append(rows, nil)
		}
		for _, l := range lines {
			rows = append(rows, row{{st.Quiet, l}})
		}
	}
	if over := len(rows) - height; over > 0 && height > 0 {
		rows = append(rows[:height-1], row{{st.Quiet, more}})
	}
	for i, r := range rows {
		if len(r) > 0 {
			rows[i] = append(row{{text: spaces((w - r.width()) / 2)}}, r...)
		}
	}
	above := max(0, (height-len(rows))/2)
	return sheet(append(make([]row, above), rows...), Pen{}, w, height)
}
