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

// Help is all keys, on as many pages as they need.
type Help struct {
	Title  string
	Groups []HelpGroup
	Foot   []string // of the last page
	Next   []string // of those before it
	Page   int      // which one, from 0
}

// Pages is how many pages the keys take: one, if on a single one no line has to be
// cut.
func (h Help) Pages(st *Styles, w, height int) int { return len(h.pages(st, w, height)) }

// pages deals the groups out to as few pages as hold them whole.
func (h Help) pages(st *Styles, w, height int) [][]HelpGroup {
	if h.whole(st, w, height, h.Groups, h.Foot) {
		return [][]HelpGroup{h.Groups}
	}
	var pages [][]HelpGroup
	for rest := h.Groups; len(rest) > 0; {
		n := 1
		for n < len(rest) && h.whole(st, w, height, rest[:n+1], h.Next) {
			n++
		}
		if n == len(rest) && n > 1 && !h.whole(st, w, height, rest, h.Foot) {
			n-- // the last page says more
		}
		pages, rest = append(pages, rest[:n]), rest[n:]
	}
	return pages
}

// whole reports whether some groups fit on a page with no line cut.
func (h Help) whole(st *Styles, w, height int, groups []HelpGroup, foot []string) bool {
	one := Help{Title: h.Title, Groups: groups, Foot: foot}
	top, below := one.around(st, w)
	_, low := one.body(st, w, height-len(top)-len(below), [][2]bool{{true, true}, {true, false}})
	return low <= height-len(top)-len(below)
}

// Lines returns the keys of a page in as many columns as are wide enough.
func (h Help) Lines(st *Styles, w, height int) []string {
	if pages := h.pages(st, w, height); len(pages) > 1 {
		h.Page = min(max(h.Page, 0), len(pages)-1)
		h.Groups = pages[h.Page]
		if t := clean(h.Title); t != "" {
			h.Title = t + ", page " + number(h.Page+1) + " of " + number(len(pages))
		}
		if h.Page < len(pages)-1 {
			h.Foot = h.Next
		}
	}
	top, foot := h.around(st, w)
	space := height - len(top) - len(foot)
	if space < 1 {
		top, foot = top[:min(len(top), max(0, height-1))], nil
		space = height - len(top)
	}
	body, _ := h.body(st, w, space, [][2]bool{{true, true}, {true, false}, {false, true}, {false, false}})
	rows := append(top, body...)
	for len(h.Next) > 0 && len(foot) > 0 && len(rows)+len(foot) < height {
		rows = append(rows, nil)
	}
	return sheet(append(rows, foot...), Pen{}, w, height)
}

// around is what stands above and below the keys.
func (h Help) around(st *Styles, w int) (top, foot []row) {
	if t := clean(h.Title); t != "" {
		top = append(top, row{{st.Strong, t}}, nil)
	}
	for _, f := range cleanAll(h.Foot) {
		for _, l := range wrap(f, w) {
			foot = append(foot, row{{st.Quiet, l}})
		}
	}
	if len(foot) > 0 {
		foot = append([]row{nil}, foot...)
	}
	return top, foot
}

const (
	helpGap    = 3
	helpNarrow = 34 // narrowest column
	helpWide   = 62 // a line that the eye follows from the key to what it does
)

// body is the keys in at most space rows, and how many rows they would take. The
// first way that fits is taken: long lines wrapped or cut, groups apart or close.
func (h Help) body(st *Styles, w, space int, ways [][2]bool) (best []row, low int) {
	n := max(1, min(3, len(h.Groups), (w+helpGap)/(helpNarrow+helpGap)))
	room := min(w-helpGap*(n-1), helpWide*n)
	if n == 1 {
		room = w
	}
	shapes := [][]int{equal(n, room/n)}
	if n == 2 {
		// The group of the deciding keys has more to say than the others.
		for _, less := range []int{2, 4, 6} {
			if right := room/2 - less; right >= helpNarrow-4 {
				shapes = append(shapes, []int{room - right, right})
			}
		}
	}
	for _, way := range ways {
		low = 0
		for _, widths := range shapes {
			cols := h.columns(st, widths, way[0], way[1])
			if t := tallest(cols); low == 0 || t < low {
				low, best = t, abreast(st, cols, widths, helpGap, space)
			}
		}
		if low <= space {
			break
		}
	}
	return best, low
}

// columns lays the groups out in columns of the given widths. Which group comes
// into which column is decided for the narrowest; then each column gets what
// room its own keys leave.
func (h Help) columns(st *Styles, widths []int, wrapped, gap bool) [][]row {
	all, narrow := h.keyWidth(h.Groups), widths[0]
	for _, w := range widths {
		narrow = min(narrow, w)
	}
	var heights []int
	for _, g := range h.Groups {
		heights = append(heights, len(g.block(st, all, narrow, wrapped)))
	}
	var cols [][]row
	for c, members := range split(heights, len(widths), gap) {
		var groups []HelpGroup
		for _, i := range members {
			groups = append(groups, h.Groups[i])
		}
		keys := h.keyWidth(groups)
		var blocks []block
		for _, g := range groups {
			if b := g.block(st, keys, widths[c], wrapped); len(b) > 0 {
				blocks = append(blocks, b)
			}
		}
		cols = append(cols, nil)
		for _, col := range columns(blocks, 1, gap) {
			cols[c] = append(cols[c], col...)
		}
	}
	return cols
}

func (h Help) keyWidth(groups []HelpGroup) int {
	n := 0
	for _, g := range groups {
		for _, k := range g.Keys {
			n = max(n, width(k.keys()))
		}
	}
	return n
}

func (g HelpGroup) block(st *Styles, keys, w int, wrapped bool) block {
	var b block
	if n := clean(g.Name); n != "" {
		b = append(b, row{{st.Strong, n}})
	}
	keys = min(keys, max(1, w/3))
	for _, k := range g.Keys {
		b = append(b, k.rows(st, keys, w, wrapped)...)
	}
	return b
}

func (k KeyLine) keys() string { return strings.Join(cleanAll(k.Keys), ", ") }

// rows is the key and what it does; if it cannot act now, dim and why.
func (k KeyLine) rows(st *Styles, keys, w int, wrapped bool) []row {
	name := cut(k.keys(), keys)
	pen, text := st.Key, st.Text
	does := clean(k.Does)
	if why := clean(k.Why); why != "" {
		pen, text = st.Quiet, st.Quiet
		does += " (not now: " + why + ")"
	}
	head := row{{pen, name + spaces(keys-width(name)+2)}}
	if !wrapped {
		return []row{append(head, seg{text, cut(does, w-keys-2)})}
	}
	return hang(head, keys+2, text, does, w)
}
