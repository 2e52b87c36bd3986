package xmp

import (
	"slices"
	"strings"
)

// cut replaces a range of the text.
type cut struct {
	span
	with string
}

// splice makes cuts that do not overlap.
func splice(text string, cuts []cut) string {
	slices.SortStableFunc(cuts, func(a, b cut) int { return a.lo - b.lo })
	var out strings.Builder
	pos := 0
	for _, c := range cuts {
		out.WriteString(text[pos:c.lo])
		out.WriteString(c.with)
		pos = c.hi
	}
	out.WriteString(text[pos:])
	return out.String()
}

// replace writes a value into the place of another, in the form that is there:
// quotes, CDATA, comments beside the text all stay.
func (d *Doc) replace(s site, value string) []cut {
	if a := s.attr; a != nil {
		return []cut{{a.value, escapeAttr(value, a.quote)}}
	}
	n := s.elem
	if n.empty {
		slash := span{n.open.hi - len("/>"), n.open.hi}
		return []cut{{slash, ">" + escapeText(value) + "</" + qualified(n.prefix, n.local) + ">"}}
	}
	// The value goes where the first visible text is; the rest of the text goes.
	target := -1
	for i, p := range n.pieces {
		if p.kind != aside && (target < 0 || allSpace(d.text[n.pieces[target].lo:n.pieces[target].hi])) {
			target = i
		}
	}
	if target < 0 {
		return []cut{{span{n.open.hi, n.open.hi}, escapeText(value)}}
	}
	var cuts []cut
	for i, p := range n.pieces {
		switch {
		case i == target && p.kind == cdata && !strings.Contains(value, cdataClose) && !strings.Contains(value, "\r"):
			inner := span{p.lo + len(cdataOpen), p.hi - len(cdataClose)}
			cuts = append(cuts, cut{inner, value})
		case i == target:
			cuts = append(cuts, cut{p.span, escapeText(value)})
		case p.kind != aside:
			cuts = append(cuts, cut{p.span, ""})
		}
	}
	return cuts
}

// removal takes every statement of the properties, each with the white space
// before it. A bare rdf:Description that is left without content goes too: it is
// what insert makes where the document has no other place (see bare).
func (d *Doc) removal(keys map[name]bool) []cut {
	gone := map[*node][]span{}
	for key := range keys {
		for _, o := range d.props[key] {
			s := span{}
			if o.attr != nil {
				s = o.attr.whole
			} else {
				s = o.elem.span()
			}
			s.lo = d.spaceBefore(s.lo)
			gone[o.desc] = append(gone[o.desc], s)
		}
	}
	var cuts []cut
	for _, desc := range d.descs {
		spans := gone[desc]
		if len(spans) == 0 {
			continue
		}
		slices.SortFunc(spans, func(a, b span) int { return a.lo - b.lo })
		if d.bare(desc) && !desc.empty && allSpace(d.without(span{desc.open.hi, desc.close.lo}, spans)) {
			spans = []span{{d.spaceBefore(desc.open.lo), desc.close.hi}}
		}
		for _, s := range spans {
			cuts = append(cuts, cut{span: s})
		}
	}
	return cuts
}

// without is the text of a range less some sorted ranges inside it.
func (d *Doc) without(all span, gone []span) string {
	var out strings.Builder
	pos := all.lo
	for _, s := range gone {
		out.WriteString(d.text[pos:s.lo])
		pos = s.hi
	}
	out.WriteString(d.text[pos:all.hi])
	return out.String()
}

// spaceBefore returns where the white space that ends at pos begins.
func (d *Doc) spaceBefore(pos int) int {
	for pos > 0 && isSpace(d.text[pos-1]) {
		pos--
	}
	return pos
}

// bare reports whether an rdf:Description carries nothing but the name of the
// resource and the declaration of RDF's own namespace. New properties never go
// into a bare one that is empty, so one that becomes empty by a removal was made
// for what has been removed.
func (d *Doc) bare(n *node) bool {
	if !n.is(NSRDF, "Description") {
		return false
	}
	for i := range n.attrs {
		a := &n.attrs[i]
		if !(a.ns == NSRDF && a.local == "about") && a.bound != NSRDF {
			return false
		}
	}
	return true
}

func qualified(prefix, local string) string {
	if prefix == "" {
		return local
	}
	return prefix + ":" + local
}
