package pane

// Notice is the last thing that was said.
type Notice struct {
	Text string
	Kind NoticeKind
	Undo bool   // the undo key takes back what it tells of
	Key  string // name of the undo key; "" = u
}

// NoticeKind says what a notice is.
type NoticeKind uint8

// The kinds of a Notice: something was done, could not be done, went wrong.
const (
	Said NoticeKind = iota
	Refused
	Fault
)

// Line returns the notice alone.
func (n Notice) Line(st *Styles, w int) string {
	return join(fit([]part{n.part(st)}, 0, w), 0).draw(Pen{}, w)
}

func (n Notice) part(st *Styles) part {
	text := clean(n.Text)
	if text == "" {
		return part{}
	}
	var said row
	switch n.Kind {
	case Refused:
		said = row{{st.Warn, signBroken + " " + text}}
	case Fault:
		said = row{{st.Fault, " " + signBroken + " " + text + " "}}
	default:
		said = row{{st.Text, text}}
	}
	if !n.Undo {
		return part{0, []row{said}}
	}
	key := clean(n.Key)
	if key == "" {
		key = "u"
	}
	return part{0, []row{append(said[:len(said):len(said)], seg{text: "  "}, seg{st.Key, key}, seg{st.Quiet, " takes it back"}), said}}
}

// Bottom returns the last row of the screen: what was said at the left, in full
// if it takes the whole row, and the pace in what is left.
func Bottom(st *Styles, n Notice, p Pace, w int) string {
	said := n.part(st)
	if len(said.forms) == 0 {
		return p.Line(st, w)
	}
	state := p.state(st)
	for i := range state {
		state[i].rank += 2
	}
	said.forms = append(said.forms[:1:1], said.forms[len(said.forms)-1])
	return spread([]part{said}, state, 3, w).draw(Pen{}, w)
}
