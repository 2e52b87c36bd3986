package pane

// Fact is one thing that is known of a frame.
type Fact struct {
	Label, Value string
}

// Facts is all that is known of a frame.
type Facts struct {
	Title    string
	Groups   [][]Fact
	Problems []string // what is wrong with it
}

// Lines returns the facts in as few columns as hold them.
func (f Facts) Lines(st *Styles, w, height int) []string {
	var rows []row
	if t := clean(f.Title); t != "" {
		rows = append(rows, row{{st.Strong, t}})
	}
	for _, p := range cleanAll(f.Problems) {
		rows = append(rows, hang(row{{st.Warn, signBroken + " "}}, 2, st.Warn, p, w)...)
	}
	if len(rows) > 0 && len(rows) < height {
		rows = append(rows, nil)
	}
	const narrowest, gap = 36, 3
	space := height - len(rows)
	var cols [][]row
	colWidth := w
	for n := 1; n == 1 || n <= 3 && (w-gap*(n-1))/n >= narrowest; n++ {
		colWidth = min((w-gap*(n-1))/n, 72)
		blocks := f.blocks(st, colWidth)
		if cols = columns(blocks, n, true); tallest(cols) <= space {
			break
		}
		if cols = columns(blocks, n, false); tallest(cols) <= space {
			break
		}
	}
	return sheet(append(rows, abreast(st, cols, equal(len(cols), colWidth), gap, space)...), Pen{}, w, height)
}

func (f Facts) blocks(st *Styles, w int) []block {
	label := 0
	for _, g := range f.Groups {
		for _, x := range g {
			label = max(label, width(clean(x.Label)))
		}
	}
	label = min(label, max(4, w*2/5))
	var blocks []block
	for _, g := range f.Groups {
		var b block
		for _, x := range g {
			name := cut(clean(x.Label), label)
			head := row{{st.Quiet, name + spaces(label-width(name)+2)}}
			b = append(b, hang(head, label+2, st.Text, clean(x.Value), w)...)
		}
		if len(b) > 0 {
			blocks = append(blocks, b)
		}
	}
	return blocks
}

// hang writes text behind a head, wrapped to w cells, further lines indented.
func hang(head row, indent int, pen Pen, text string, w int) []row {
	lines := wrap(text, w-indent)
	if len(lines) == 0 {
		return []row{append(head, seg{pen, text})}
	}
	rows := []row{append(head, seg{pen, lines[0]})}
	for _, l := range lines[1:] {
		rows = append(rows, row{{text: spaces(indent)}, {pen, l}})
	}
	return rows
}
