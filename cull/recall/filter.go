package recall

import (
	"bytes"
	"path/filepath"
	"sort"
	"strings"

	"garner/cull"
	"garner/cull/closing/record"
)

// filter is a query as it is asked of one part.
type filter struct {
	q      *Query
	scenes []bool // by index; nil = any
	bodies []bool
	passes []int           // columns of q.Passes
	only   map[uint64]bool // frames that a person is in; nil = any
}

// filterFor prepares a query for the part of a place; false = none of its frames can be
// meant. A job that was opened again under another name, and archived from there, is
// called so in a bag that has its first name still: it is found by either.
func (q *Query) filterFor(a *about, dir string) (filter, bool) {
	f := filter{q: q}
	called := func(name string) bool { return strings.Contains(folded(name), folded(q.Job)) }
	if q.Job != "" && !called(a.Job) && !called(filepath.Base(dir)) {
		return f, false
	}
	if q.Scene != "" {
		if f.scenes = which(a.Scenes, func(s string) bool { return strings.Contains(folded(s), folded(q.Scene)) }); f.scenes == nil {
			return f, false
		}
	}
	if q.Body != "" {
		if f.bodies = which(a.Bodies, q.isBody); f.bodies == nil {
			return f, false
		}
	}
	for _, want := range q.Passes {
		at := -1
		for i, name := range a.Passes {
			if name == want.Pass {
				at = i
			}
		}
		if at < 0 {
			return f, false
		}
		f.passes = append(f.passes, at)
	}
	return f, true
}

func (q *Query) isBody(b record.Body) bool {
	return strings.EqualFold(b.Letter, q.Body) || b.Serial == q.Body && b.Serial != "" ||
		len(q.Body) > 1 && strings.Contains(folded(b.Make+" "+b.Model), folded(q.Body))
}

// which marks those of a list that are meant; nil = none is.
func which[T any](list []T, is func(T) bool) []bool {
	var out []bool
	for i, v := range list {
		if is(v) {
			if out == nil {
				out = make([]bool, len(list))
			}
			out[i] = true
		}
	}
	return out
}

// rows asks the columns, and then the names where that is asked for.
func (f *filter) rows(p *part, c *columns) ([]int32, error) {
	var named []bool
	if f.q.Name != "" {
		n, err := p.names()
		if err != nil {
			return nil, err
		}
		if named = n.holding(f.q.Name); named == nil {
			return nil, nil
		}
	}
	var out []int32
	for row := range c.rows {
		if (named == nil || named[row]) && f.holds(c, row) {
			out = append(out, int32(row))
		}
	}
	return out, nil
}

func (f *filter) holds(c *columns, row int) bool {
	q := f.q
	if !q.From.IsZero() || !q.To.IsZero() || q.Clock != nil {
		ms := c.time(row)
		if ms == noTime || !q.From.IsZero() && ms < q.From.UnixMilli() || !q.To.IsZero() && ms >= q.To.UnixMilli() || q.Clock != nil && !q.Clock.holds(ms) {
			return false
		}
	}
	if f.scenes != nil {
		if i := int(c.scene(row)); i >= len(f.scenes) || !f.scenes[i] {
			return false
		}
	}
	if f.bodies != nil {
		if i := int(c.bodies[row]); i >= len(f.bodies) || !f.bodies[i] {
			return false
		}
	}
	for i, pass := range f.passes {
		if cull.Answer(c.answers[pass][row]) != q.Passes[i].Answer {
			return false
		}
	}
	return f.only == nil || f.only[c.id(row)]
}

// holding marks the frames of which a name holds a text; nil = there is none. Digits are
// a number and not a part of one: 412 is in 0412-A and in IMG_0412, not in IMG_4123.
func (n *names) holding(text string) []bool {
	want := []byte(folded(text))
	number := strings.Trim(text, "0123456789") == ""
	if number {
		want = bytes.TrimLeft(want, "0")
	}
	if len(want) == 0 {
		want, number = []byte("0"), true
	}
	var out []bool
	for at := 0; ; {
		i := bytes.Index(n.text[at:], want)
		if i < 0 {
			return out
		}
		from := at + i
		at = from + 1
		if number && !wholeNumber(n.text, from, from+len(want)) {
			continue
		}
		row := sort.Search(len(n.ends)/4, func(row int) bool { return n.end(row) > from })
		if row == len(n.ends)/4 {
			return out
		}
		if out == nil {
			out = make([]bool, len(n.ends)/4)
		}
		out[row] = true
		at = max(at, n.end(row))
	}
}

// wholeNumber reports whether digits, that may have zeros before them, are all of a number.
// What is behind them is looked at first: of a name of zeros alone only the last can be.
func wholeNumber(text []byte, from, to int) bool {
	if to < len(text) && digit(text[to]) {
		return false
	}
	for from > 0 && text[from-1] == '0' {
		from--
	}
	return from == 0 || !digit(text[from-1])
}

func digit(c byte) bool { return c >= '0' && c <= '9' }
