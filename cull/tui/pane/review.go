package pane

// Review is what is worth a look before the job is handed over: line by line what
// may be missing, and how much was kept of what.
type Review struct {
	Title    string
	Stands   []string // where the job stands on its way, what leads on last
	Lines    []ReviewLine
	Selected int // index into Lines
	Tables   []ShareTable
	Hint     string // which keys there are
}

// ReviewLine is one thing to look at.
type ReviewLine struct {
	Text    string
	Nothing bool // no frame can be shown for it
}

// ShareTable is what was kept of the parts of a job.
type ShareTable struct {
	Name   string // "scene", "hour", "body"
	Shares []Share
}

// Share is what was kept of one part.
type Share struct {
	Name         string
	Kept, Frames int
	Goal         int // frames that would be its part of the goal; 0 = none is set
}

// Rows returns the title, where the job stands if there is room, the lines around the
// selected one, the tables side by side below them, and the hint. The lines take what
// they need but leave a third of the room to the tables.
func (r Review) Rows(st *Styles, w, height int) []string {
	rows := []row{{{st.Strong, clean(r.Title)}}}
	gap := height >= 12
	if gap {
		rows = append(rows, nil)
	}
	if stands := r.stands(st, w); height >= 20 && len(stands) <= height/5 {
		rows = append(rows, stands...)
	}
	space := height - len(rows)
	hint := clean(r.Hint)
	if hint != "" && space >= 4 {
		space--
	} else {
		hint = ""
	}
	tables := r.tables(st, w)
	lines := max(1, len(r.Lines))
	forTables := 0
	if len(tables) > 0 && space >= 6 {
		forTables = min(tallest(tables), max(space/3, space-lines-1))
		space -= forTables + 1
	}
	body := r.lines(st, w, space)
	rows = append(rows, body...)
	if forTables > 0 {
		rows = append(rows, nil)
		n := len(tables)
		rows = append(rows, abreast(st, tables, equal(n, tableWidth(n, w)), tableGap, forTables)...)
	}
	if hint != "" {
		for len(rows) < height-1 {
			rows = append(rows, nil)
		}
		rows = append(rows, row{{st.Quiet, hint}})
	}
	return sheet(rows, Pen{}, w, height)
}

// stands says where the job stands, with a free line behind it.
func (r Review) stands(st *Styles, w int) []row {
	var rows []row
	for i, line := range r.Stands {
		pen := st.Quiet
		if i == len(r.Stands)-1 {
			pen = st.Text
		}
		for _, text := range wrap(clean(line), w) {
			rows = append(rows, row{{pen, text}})
		}
	}
	if len(rows) > 0 {
		rows = append(rows, nil)
	}
	return rows
}

// lines are those around the selected one.
func (r Review) lines(st *Styles, w, space int) []row {
	if len(r.Lines) == 0 {
		return []row{{{st.Kept, "  nothing is missing"}}}
	}
	var rows []row
	from, to, above, below := window(len(r.Lines), r.Selected, space)
	if above > 0 {
		rows = append(rows, hidden(st, above))
	}
	for i := from; i < to; i++ {
		rows = append(rows, r.Lines[i].row(st, i == r.Selected, w))
	}
	if below > 0 {
		rows = append(rows, hidden(st, below))
	}
	return rows
}

// row is a line, at its end whether there is nothing to be shown for it.
func (l ReviewLine) row(st *Styles, selected bool, w int) row {
	mark, text, dim, back := seg{st.Here, "  "}, st.Text, st.Quiet, Pen{}
	if selected {
		mark, text, dim, back = seg{st.hereKey, signHere + " "}, st.hereKey, st.hereDim, st.back
	}
	room := min(w, 100)
	right := ""
	if l.Nothing {
		right = "  no frame to show"
	}
	said := cut(clean(l.Text), room-width(mark.text)-width(right))
	out := row{mark, {text, said}}
	out = append(out, seg{back, spaces(room - out.width() - width(right))}, seg{dim, right})
	return append(out, seg{back, spaces(w - out.width())})
}

const (
	tableGap  = 4
	tableWide = 34
)

func tableWidth(n, w int) int { return max(1, min(tableWide, (w-tableGap*(n-1))/n)) }

// tables are the tables as columns.
func (r Review) tables(st *Styles, w int) [][]row {
	var cols [][]row
	n := len(r.Tables)
	for _, t := range r.Tables {
		col := []row{t.head(st, tableWidth(n, w))}
		for _, s := range t.Shares {
			col = append(col, s.row(st, tableWidth(n, w)))
		}
		cols = append(cols, col)
	}
	return cols
}

func (t ShareTable) head(st *Styles, w int) row {
	goal := false
	for _, s := range t.Shares {
		goal = goal || s.Goal > 0
	}
	right := say(1, st.Quiet, "kept")
	if goal {
		right = say(1, st.Quiet, "kept, goal", "kept")
	}
	return spread([]part{say(0, st.Strong, clean(t.Name))}, []part{right}, 1, w)
}

func (s Share) row(st *Styles, w int) row {
	kept := st.Kept
	if s.Kept == 0 {
		kept = st.Quiet
	}
	n := seg{kept, number(s.Kept)}
	of := seg{st.Quiet, " of " + number(s.Frames)}
	short := seg{st.Quiet, "/" + number(s.Frames)}
	forms := []row{{n, of}, {n, short}}
	if s.Goal > 0 {
		goal := seg{st.Quiet, ", " + number(s.Goal)}
		forms = append([]row{{n, of, goal}, {n, short, goal}}, forms...)
	}
	name := cut(clean(s.Name), max(6, w/2))
	return spread([]part{say(0, st.Text, name)}, []part{{1, forms}}, 1, w)
}
