package timeline

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/color"
	"strconv"
	"strings"
)

// SVG draws a day as one self-contained file for a browser, with a title and a
// description for those who hear it (SVG 1.1, clause 5.4). Pointing at a scene tells
// its name.
func (d Day) SVG() ([]byte, error) {
	l, err := newLetters(1)
	if err != nil {
		return nil, err
	}
	s := d.compose(l.measure)
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" `+svgMark+` viewBox="0 0 %s %s" role="img" aria-labelledby="title desc" font-family="Go, 'Noto Sans', 'Helvetica Neue', Arial, sans-serif">`+"\n", num(sheetWidth), num(s.height))
	fmt.Fprintf(&b, "<title id=\"title\">%s</title>\n<desc id=\"desc\">%s</desc>\n<defs>\n", escape(s.title), escape(s.desc))
	p := paints()
	fmt.Fprintf(&b, `<pattern id="dropped" width="4" height="4" patternUnits="userSpaceOnUse"><rect width="4" height="4" fill="%s"/><path d="M-1 1L1 -1M0 4L4 0M3 5L5 3" stroke="%s" stroke-width="%s"/></pattern>`+"\n", hex(p[barDropped].fill), hex(p[barDropped].stroke), num(p[barDropped].width))
	b.WriteString("</defs>\n")
	for i := 0; i < len(s.shapes); {
		end := i + 1
		for end < len(s.shapes) && s.shapes[end].class == s.shapes[i].class {
			end++
		}
		fmt.Fprintf(&b, "<g %s>\n", attributes(p, s.shapes[i].class))
		for _, sh := range s.shapes[i:end] {
			sh.svg(&b, p[sh.class])
		}
		b.WriteString("</g>\n")
		i = end
	}
	b.WriteString("</svg>\n")
	return b.Bytes(), nil
}

// attributes are what a group of one class has in common.
func attributes(all [classes]paint, c class) string {
	p := all[c]
	switch {
	case p.size > 0:
		s := fmt.Sprintf(`fill="%s" font-size="%s"`, hex(p.fill), num(p.size))
		if p.bold {
			s += ` font-weight="bold"`
		}
		return s
	case p.pattern == hatch:
		return fmt.Sprintf(`fill="url(#dropped)" stroke="%s" stroke-width="0.6"`, hex(p.stroke))
	case p.pattern == outline:
		return fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="%s"`, hex(p.fill), hex(p.stroke), num(p.width))
	case p.width > 0:
		return fmt.Sprintf(`fill="none" stroke="%s" stroke-width="%s" stroke-linejoin="round"`, hex(p.stroke), num(p.width))
	}
	return fmt.Sprintf(`fill="%s"`, hex(p.fill))
}

// svg writes one shape.
func (s shape) svg(b *bytes.Buffer, p paint) {
	switch {
	case s.points != nil:
		var at []string
		for _, q := range s.points {
			at = append(at, num(q[0])+","+num(q[1]))
		}
		fmt.Fprintf(b, `<polyline points="%s"/>`+"\n", strings.Join(at, " "))
	case p.size > 0:
		anchor := [...]string{"", ` text-anchor="middle"`, ` text-anchor="end"`}[s.anchor]
		fmt.Fprintf(b, `<text x="%s" y="%s"%s>%s</text>`+"\n", num(s.x), num(s.y), anchor, escape(s.text))
	default:
		x, y, w, h := s.x, s.y, s.w, s.h
		if p.pattern == outline { // the line lies inside
			x, y, w, h = x+p.width/2, y+p.width/2, max(0.1, w-p.width), max(0.1, h-p.width)
		}
		fmt.Fprintf(b, `<rect x="%s" y="%s" width="%s" height="%s"`, num(x), num(y), num(w), num(h))
		if s.title != "" {
			fmt.Fprintf(b, "><title>%s</title></rect>\n", escape(s.title))
			return
		}
		b.WriteString("/>\n")
	}
}

// num writes a length with at most two digits after the point.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

func hex(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// escape makes a text fit for XML; what XML cannot hold becomes U+FFFD.
func escape(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder takes everything
	return b.String()
}
