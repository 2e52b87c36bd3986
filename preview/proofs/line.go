package proofs

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// line is a text as a page shows it.
type line struct {
	codes  []byte
	actual string // the text itself, where codes are not all of it
	size   float64
	length float64 // points
}

// text prepares a text for at most so much room, and notes what is not whole.
func (q *printer) text(s string, size, room float64) line {
	codes, whole := winAnsi(s)
	l := line{codes: shorten(codes, size, room), size: size}
	l.length = width(l.codes, size)
	if !whole || len(l.codes) != len(codes) || !slices.Equal(l.codes, codes) {
		l.actual = s
	}
	if !whole && !slices.Contains(q.replaced, s) {
		q.replaced = append(q.replaced, s)
	}
	return l
}

// heading is the name of a scene; one of which nothing but "?" can be shown is told by
// its place in the row of scenes.
func (q *printer) heading(at placed) line {
	name := q.page.scenes[at.scene].name
	l := q.text(name, nameSize, at.w)
	if l.actual != "" && !bytes.ContainsFunc(l.codes, func(r rune) bool { return r != '?' && r != ' ' }) {
		l.codes = fmt.Appendf(nil, "Scene %d", at.scene+1)
		l.length = width(l.codes, nameSize)
	}
	return l
}

// put writes the text from x on, on the line y (ISO 32000-1, 9.4; 14.9.4 for what is
// copied in its place).
func (l line) put(b *strings.Builder, x, y float64) {
	if len(l.codes) == 0 {
		return
	}
	if l.actual != "" {
		fmt.Fprintf(b, "/Span << /ActualText %s >> BDC\n", textString(l.actual))
	}
	fmt.Fprintf(b, "BT /F %s Tf 1 0 0 1 %s %s Tm %s Tj ET\n", num(l.size), num(x), num(y), literal(l.codes))
	if l.actual != "" {
		b.WriteString("EMC\n")
	}
}

// mark is a scene in the outline.
type mark struct {
	name string
	page int // object
	y    float64
}

// outline writes the list of scenes that a reader shows beside the pages (ISO
// 32000-1, 12.3.3).
func (q *printer) outline(marks []mark) int {
	root := q.reserve()
	first := len(q.places)
	for range marks {
		q.reserve()
	}
	last := len(q.places) - 1
	for i, m := range marks {
		n := first + i
		var beside string
		if n > first {
			beside += fmt.Sprintf(" /Prev %d 0 R", n-1)
		}
		if n < last {
			beside += fmt.Sprintf(" /Next %d 0 R", n+1)
		}
		q.object(n, "<< /Title %s /Parent %d 0 R /Dest [%d 0 R /XYZ null %s null]%s >>", textString(m.name), root, m.page, num(m.y), beside)
	}
	q.object(root, "<< /Type /Outlines /First %d 0 R /Last %d 0 R /Count %d >>", first, last, len(marks))
	return root
}
