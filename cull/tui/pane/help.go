package pane

import "strings"

// KeyLine is what a key does.
type KeyLine struct {
	Keys []string
	Does string
	Why  string // why it cannot act now; "" if it can
}

// HelpGroup is keys that belong together.
type HelpGroup struct {
	Name string
	Keys []KeyLine
}

// Help is all keys.
type Help struct {
	Title  string
	Groups []HelpGroup
	Foot   []string
}

// Lines returns the keys in as many columns as are wide enough.
func (h Help) Lines(st *Styles, w, height int) []string {
	var top, foot []row
	if t := clean(h.Title); t != "" {
		top = append(top, row{{st.Strong, t}}, nil)
	}
	for _, f := range cleanAll(h.Foot) {
		for _, l := range wrap(f, w) {
			foot = append(foot, row{{st.Quiet, l}})
		}
	}
	space := height - len(top) - len(foot) - 1
	if space < 1 {
		top, foot, space = top[:min(len(top), max(0, height-1))], nil, height-min(len(top), max(0, height-1))
	}
	cols, colWidth := h.columns(st, w, space)
	rows := append(top, abreast(st, cols, colWidth, helpGap, space)...)
	if len(foot) > 0 {
		rows = append(append(rows, nil), foot...)
	}
	return sheet(rows, Pen{}, w, height)
}

const helpGap = 4

// columns finds the roomiest way to write all keys in space rows: with long
// lines wrapped and groups apart, else closer.
func (h Help) columns(st *Styles, w, space int) ([][]row, int) {
	const narrowest, widest = 34, 60
	n := max(1, min(3, len(h.Groups), (w+helpGap)/(narrowest+helpGap)))
	colWidth := min(widest, (w-helpGap*(n-1))/n)
	if n == 1 {
		colWidth = w
	}
	var cols [][]row
	for _, wrapped := range []bool{true, false} {
		blocks := h.blocks(st, colWidth, wrapped)
		for _, gap := range []bool{true, false} {
			if cols = columns(blocks, n, gap); tallest(cols) <= space {
				return cols, colWidth
			}
		}
	}
	return cols, colWidth
}

func (h Help) blocks(st *Styles, w int, wrapped bool) []block {
	keys := 0
	for _, g := range h.Groups {
		for _, k := range g.Keys {
			keys = max(keys, width(k.keys()))
		}
	}
	keys = min(keys, max(1, w/3))
	var blocks []block
	for _, g := range h.Groups {
		var b block
		if n := clean(g.Name); n != "" {
			b = append(b, row{{st.Quiet, n}})
		}
		for _, k := range g.Keys {
			b = append(b, k.rows(st, keys, w, wrapped)...)
		}
		if len(b) > 0 {
			blocks = append(blocks, b)
		}
	}
	return blocks
}

func (k KeyLine) keys() string { return strings.Join(cleanAll(k.Keys), " ") }

// rows is the key and what it does; if it cannot act now, dim and why.
func (k KeyLine) rows(st *Styles, keys, w int, wrapped bool) []row {
	name := cut(k.keys(), keys)
	pen, text := st.Key, st.Text
	does := clean(k.Does)
	if why := clean(k.Why); why != "" {
		pen, text = st.Quiet, st.Quiet
		does += " (" + why + ")"
	}
	head := row{{pen, name + spaces(keys-width(name)+2)}}
	if !wrapped {
		return []row{append(head, seg{text, cut(does, w-keys-2)})}
	}
	return hang(head, keys+2, text, does, w)
}
