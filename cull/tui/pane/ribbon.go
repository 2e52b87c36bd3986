package pane

import (
	"math"
	"strings"

	"garner/cull"
)

// Span is one scene of the ribbon.
type Span struct {
	Name   string
	Frames []cull.Answer // in order
	Here   int           // index of the frame under the cursor; -1 = not here
}

// Ribbon is the whole job in one row.
type Ribbon struct {
	Scenes []Span
}

// tally counts the answers that one cell of the ribbon stands for.
type tally struct {
	n    [cull.Part + 1]int
	here bool
}

// Line returns the row: scenes in order with a gap between them, each as wide as
// its share of the frames. Decided parts are bars, the higher the more was kept;
// open parts are dots; the cursor is a line through the row.
func (r Ribbon) Line(st *Styles, w int) string {
	if w <= 0 {
		return ""
	}
	var d drawing
	d.st = st
	d.b.Grow(w * 4)
	sizes, gaps := r.allot(w)
	if sizes == nil {
		r.flat(&d, w)
	}
	first := true
	for i, n := range sizes {
		if n == 0 {
			continue
		}
		if !first && gaps {
			d.put(Pen{}, " ")
		}
		first = false
		r.Scenes[i].cells(&d, n)
	}
	return d.end(w)
}

// allot gives every scene with frames a cell or more, in proportion, until the
// row is full. It gives nil if there are more scenes than cells.
func (r Ribbon) allot(w int) (sizes []int, gaps bool) {
	scenes, frames := 0, 0
	for i := range r.Scenes {
		if n := len(r.Scenes[i].Frames); n > 0 {
			scenes++
			frames += n
		}
	}
	if scenes > w {
		return nil, false
	}
	if gaps = 2*scenes-1 <= w; gaps {
		w -= scenes - 1
	}
	// A cell for each, the rest by what frames each has beyond its first: the
	// running sum is rounded, so that no remainder is left over.
	sizes = make([]int, len(r.Scenes))
	spare, more := w-scenes, frames-scenes
	sum, given := 0, 0
	for i, s := range r.Scenes {
		if len(s.Frames) == 0 {
			continue
		}
		sizes[i] = 1
		if more > 0 {
			sum += len(s.Frames) - 1
			upTo := (sum*spare + more/2) / more
			sizes[i] += upTo - given
			given = upTo
		}
	}
	return sizes, gaps
}

func (s Span) cells(d *drawing, n int) {
	all := len(s.Frames)
	if n > all {
		s.stretched(d, n)
		return
	}
	from := 0
	for c := range n {
		to := (c + 1) * all / n
		var t tally
		t.count(s.Frames[from:to])
		t.here = s.Here >= from && s.Here < to
		d.cell(t)
		from = to
	}
}

// stretched draws fewer frames than cells; the first cell of a frame is its place.
func (s Span) stretched(d *drawing, n int) {
	all := len(s.Frames)
	for c := range n {
		i := c * all / n
		var t tally
		t.count(s.Frames[i : i+1])
		t.here = s.Here == i && (c == 0 || (c-1)*all/n < i)
		d.cell(t)
	}
}

// flat draws a job with more scenes than cells: scenes share cells.
func (r Ribbon) flat(d *drawing, w int) {
	frames := 0
	for i := range r.Scenes {
		frames += len(r.Scenes[i].Frames)
	}
	var t tally
	seen, cell, end := 0, 1, frames/w
	for i := range r.Scenes {
		rest, here := r.Scenes[i].Frames, r.Scenes[i].Here
		for len(rest) > 0 {
			n := min(len(rest), end-seen)
			t.count(rest[:n])
			t.here = t.here || here >= 0 && here < n
			rest, here, seen = rest[n:], here-n, seen+n
			if seen == end {
				d.cell(t)
				t, cell = tally{}, cell+1
				end = cell * frames / w
			}
		}
	}
}

func (t *tally) count(frames []cull.Answer) {
	for _, a := range frames {
		t.n[min(a, cull.Part)]++
	}
}

// drawing collects cells and changes the pen only where it changes.
type drawing struct {
	st  *Styles
	b   strings.Builder
	pen Pen
	n   int
}

func (d *drawing) put(p Pen, glyph string) {
	if p != d.pen {
		if d.pen.on != "" {
			d.b.WriteString(reset)
		}
		d.b.WriteString(p.on)
		d.pen = p
	}
	d.b.WriteString(glyph)
	d.n++
}

func (d *drawing) end(w int) string {
	if d.pen.on != "" {
		d.b.WriteString(reset)
	}
	d.b.WriteString(spaces(w - d.n))
	return d.b.String()
}

// cell draws one cell.
func (d *drawing) cell(t tally) {
	const bars, bar = "▂▃▄▅▆▇█", len("█")
	yes := t.n[cull.Yes] + t.n[cull.Part]
	switch decided := yes + t.n[cull.No]; {
	case t.here:
		d.put(d.st.ribbonHere, "┃")
	case decided == 0:
		d.put(d.st.ribbonOpen, "·")
	case t.n[cull.Open] > 0:
		d.put(d.st.ribbonMixed, ":")
	case yes == 0:
		d.put(d.st.ribbonDropped, "▁")
	default:
		// Few are kept of most stretches: the root sets small shares apart.
		full := float64(len(bars) / bar)
		step := int(full*math.Sqrt(float64(yes)/float64(decided)) - 0.001)
		d.put(d.st.ribbonKept, bars[step*bar:(step+1)*bar])
	}
}
