package xmp

import (
	"strings"
	"unicode/utf8"
)

// This file implements a tokenizer for XML 1.0 with namespaces. It exists
// because edits need the byte range of every name, value and tag, attributes
// included. It is strict, with one tolerance found in real files: a processing
// instruction may hold control characters.

type scanner struct {
	s      string
	pos    int
	enc    encoding
	root   *node
	open   []*node // elements that are not yet closed
	bound  map[string][]string
	tokens int
}

func scan(text string, enc encoding) (root *node, err error) {
	p := &scanner{s: text, enc: enc, bound: map[string][]string{
		"xml": {nsXML}, "xmlns": {nsXMLNS}, "": {""},
	}}
	p.skip("\uFEFF")
	if err := p.declaration(); err != nil {
		return nil, err
	}
	for p.pos < len(p.s) {
		if p.tokens++; p.tokens > maxTokens {
			return nil, p.unsupported("too many elements")
		}
		if err := p.next(); err != nil {
			return nil, err
		}
	}
	switch {
	case len(p.open) > 0:
		return nil, p.bad("document ends within an element")
	case p.root == nil:
		return nil, p.bad("no element")
	}
	return p.root, nil
}

func (p *scanner) bad(reason string) error {
	return &FormatError{Offset: int64(p.pos), Reason: reason}
}

func (p *scanner) unsupported(reason string) error {
	return &UnsupportedError{Offset: int64(p.pos), Reason: reason}
}

func (p *scanner) at(prefix string) bool { return strings.HasPrefix(p.s[p.pos:], prefix) }

func (p *scanner) skip(prefix string) bool {
	if !p.at(prefix) {
		return false
	}
	p.pos += len(prefix)
	return true
}

func (p *scanner) space() bool {
	from := p.pos
	for p.pos < len(p.s) && isSpace(p.s[p.pos]) {
		p.pos++
	}
	return p.pos > from
}

// next reads one piece of the document.
func (p *scanner) next() error {
	switch {
	case !p.at("<"):
		return p.chars()
	case p.at("<!--"):
		return p.comment()
	case p.at("<?"):
		return p.instruction()
	case p.at("</"):
		return p.endTag()
	case p.at(cdataOpen):
		return p.cdata()
	case p.at("<!DOCTYPE"):
		// With no declarations there are no entities to expand, no defaults
		// and nothing to fetch.
		return p.unsupported("document type declaration")
	case p.at("<!"):
		return p.bad("malformed markup")
	}
	return p.startTag()
}

// declaration reads the XML declaration, if there is one (§2.8).
func (p *scanner) declaration() error {
	if !p.at("<?xml") || len(p.s) < p.pos+6 || !isSpace(p.s[p.pos+5]) {
		return nil
	}
	end := strings.Index(p.s[p.pos:], "?>")
	if end < 0 {
		return p.bad("XML declaration does not end")
	}
	body := p.s[p.pos+5 : p.pos+end]
	version, ok := pseudo(body, "version")
	switch {
	case !ok:
		return p.bad("XML declaration without a version")
	case version != "1.0":
		return p.unsupported("XML version")
	case !validText(body):
		return p.bad("character that XML does not allow")
	}
	if label, ok := pseudo(body, "encoding"); ok && !p.enc.accepts(label) {
		return p.unsupported("character encoding that the XML declaration names")
	}
	p.pos += end + 2
	return nil
}

// pseudo returns one value of an XML declaration.
func pseudo(body, key string) (string, bool) {
	for {
		body = strings.TrimLeft(body, " \t\r\n")
		k, rest, ok := strings.Cut(body, "=")
		rest = strings.TrimLeft(rest, " \t\r\n")
		if !ok || rest == "" || rest[0] != '"' && rest[0] != '\'' {
			return "", false
		}
		value, after, ok := strings.Cut(rest[1:], rest[:1])
		if !ok {
			return "", false
		}
		if strings.TrimRight(k, " \t\r\n") == key {
			return value, true
		}
		body = after
	}
}

// chars reads character data up to the next markup.
func (p *scanner) chars() error {
	from := p.pos
	for p.pos < len(p.s) && p.s[p.pos] != '<' {
		switch c := p.s[p.pos]; {
		case c == '&':
			_, n := reference(p.s[p.pos:])
			if n == 0 {
				return p.bad("undefined or malformed reference")
			}
			p.pos += n
		case c == ']' && p.at(cdataClose):
			return p.bad("]]> in text")
		case c == 0 && p.root != nil && len(p.open) == 0:
			p.pos++ // padding after the document, as tags that embed packets have it
		default:
			if err := p.char(); err != nil {
				return err
			}
		}
	}
	if len(p.open) == 0 {
		if raw := strings.ReplaceAll(p.s[from:p.pos], "\x00", ""); !allSpace(raw) {
			p.pos = from
			return p.bad("text outside of the document element")
		}
		return nil
	}
	p.add(piece{span{from, p.pos}, charData})
	return nil
}

// char steps over one character.
func (p *scanner) char() error {
	if c := p.s[p.pos]; c >= 0x20 && c < utf8.RuneSelf {
		p.pos++
		return nil
	}
	r, n := utf8.DecodeRuneInString(p.s[p.pos:])
	if !isChar(r) {
		return p.bad("character that XML does not allow")
	}
	p.pos += n
	return nil
}

func (p *scanner) add(c piece) {
	if len(p.open) > 0 {
		top := p.open[len(p.open)-1]
		top.pieces = append(top.pieces, c)
	}
}

func (p *scanner) comment() error {
	from := p.pos
	end := strings.Index(p.s[from+4:], "--")
	if end < 0 || !strings.HasPrefix(p.s[from+4+end:], "-->") {
		return p.bad("malformed comment")
	}
	if !validText(p.s[from+4 : from+4+end]) {
		return p.bad("character that XML does not allow")
	}
	p.pos = from + 4 + end + 3
	p.add(piece{span{from, p.pos}, aside})
	return nil
}

func (p *scanner) instruction() error {
	from := p.pos
	body, _, ok := strings.Cut(p.s[from+2:], "?>")
	if !ok {
		return p.bad("processing instruction does not end")
	}
	target := body
	if i := strings.IndexAny(body, " \t\r\n"); i >= 0 {
		target = body[:i]
	}
	if !isNCName(target) || strings.EqualFold(target, "xml") {
		return p.bad("malformed processing instruction")
	}
	if strings.IndexByte(body, 0) >= 0 {
		return p.bad("character that XML does not allow")
	}
	p.pos = from + len(body) + 4
	p.add(piece{span{from, p.pos}, aside})
	return nil
}

func (p *scanner) cdata() error {
	from := p.pos
	if len(p.open) == 0 {
		return p.bad("text outside of the document element")
	}
	end := strings.Index(p.s[from:], cdataClose)
	if end < 0 {
		return p.bad("CDATA section does not end")
	}
	if !validText(p.s[from : from+end]) {
		return p.bad("character that XML does not allow")
	}
	p.pos = from + end + len(cdataClose)
	p.add(piece{span{from, p.pos}, cdata})
	return nil
}
