package xmp

import "strings"

// This file learns the white space of a document, so that what is added looks
// as its author would have written it.

// newline is the document's line end.
func (d *Doc) newline() string {
	i := strings.IndexAny(d.text, "\r\n")
	switch {
	case i < 0:
		return "\n"
	case strings.HasPrefix(d.text[i:], "\r\n"):
		return "\r\n"
	}
	return d.text[i : i+1]
}

// indent returns the blanks before pos where it is the first of its line.
func (d *Doc) indent(pos int) (string, bool) {
	from := pos
	for from > 0 && (d.text[from-1] == ' ' || d.text[from-1] == '\t') {
		from--
	}
	if from > 0 && d.text[from-1] != '\n' && d.text[from-1] != '\r' {
		return "", false
	}
	return d.text[from:pos], true
}

// unit is one step of indentation: what a child is indented further than its
// parent. It is a blank where the document shows none.
func (d *Doc) unit() string {
	pairs := [][2]*node{}
	for _, desc := range d.descs {
		if len(desc.kids) > 0 {
			pairs = append(pairs, [2]*node{desc, desc.kids[0]})
			break
		}
	}
	if len(d.rdf.kids) > 0 {
		pairs = append(pairs, [2]*node{d.rdf, d.rdf.kids[0]})
	}
	if d.rdf.parent != nil {
		pairs = append(pairs, [2]*node{d.rdf.parent, d.rdf})
	}
	for _, p := range pairs {
		outer, ok1 := d.indent(p[0].open.lo)
		inner, ok2 := d.indent(p[1].open.lo)
		if step, cut := strings.CutPrefix(inner, outer); ok1 && ok2 && cut && step != "" {
			return step
		}
	}
	return " "
}

// ownLine is the white space that puts something on a line of its own, as far
// in as the tag at pos; it is empty where that tag does not begin a line.
func (d *Doc) ownLine(pos int) string {
	indent, ok := d.indent(pos)
	if !ok || !strings.ContainsAny(d.text, "\r\n") {
		return ""
	}
	return d.newline() + indent
}

// childSpace is the white space before a new last child of n: that of the last
// child there is, else a line one step further in than n.
func (d *Doc) childSpace(n *node) string {
	if len(n.kids) > 0 {
		last := n.kids[len(n.kids)-1].open.lo
		return d.text[d.spaceBefore(last):last]
	}
	return d.deeper(d.ownLine(n.open.lo))
}

// deeper is the white space of the children of something before which stands
// space.
func (d *Doc) deeper(space string) string {
	if line := lineOf(space); line != "" {
		return line + d.unit()
	}
	return ""
}

// lineOf is the last line break of some white space and what follows it; empty
// where there is no line break.
func lineOf(space string) string {
	i := strings.LastIndexAny(space, "\r\n")
	switch {
	case i < 0:
		return ""
	case i > 0 && space[i] == '\n' && space[i-1] == '\r':
		i--
	}
	return space[i:]
}
