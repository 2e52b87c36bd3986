package xmp

import (
	"strings"
	"unicode/utf8"
)

// qname reads a qualified name ("Namespaces in XML 1.0", §4).
func (p *scanner) qname() (prefix, local string, err error) {
	from := p.pos
	for p.pos < len(p.s) {
		r, n := utf8.DecodeRuneInString(p.s[p.pos:])
		if r != ':' && !isNamePart(r) {
			break
		}
		p.pos += n
	}
	whole := p.s[from:p.pos]
	prefix, local, found := strings.Cut(whole, ":")
	if !found {
		prefix, local = "", whole
	}
	if !isNCName(local) || found && !isNCName(prefix) {
		p.pos = from
		return "", "", p.bad("malformed name")
	}
	return prefix, local, nil
}

func (p *scanner) startTag() error {
	n := &node{open: span{lo: p.pos}}
	switch {
	case len(p.open) == 0 && p.root != nil:
		return p.bad("second document element")
	case len(p.open) >= maxDepth:
		return p.unsupported("elements nested too deep")
	}
	p.pos++
	var err error
	if n.prefix, n.local, err = p.qname(); err != nil {
		return err
	}
	if err := p.attributes(n); err != nil {
		return err
	}
	n.open.hi = p.pos
	if err := p.resolve(n); err != nil {
		return err
	}
	if len(p.open) == 0 {
		p.root = n
	} else {
		n.parent = p.open[len(p.open)-1]
		n.parent.kids = append(n.parent.kids, n)
	}
	if n.empty {
		n.close = span{p.pos, p.pos}
		p.unbind(n)
	} else {
		p.open = append(p.open, n)
	}
	return nil
}

// attributes reads up to the end of a start tag.
func (p *scanner) attributes(n *node) error {
	for {
		spaced := p.space()
		switch {
		case p.skip("/>"):
			n.empty = true
			return nil
		case p.skip(">"):
			return nil
		case !spaced:
			return p.bad("malformed tag")
		}
		if p.tokens++; p.tokens > maxTokens {
			return p.unsupported("too many attributes")
		}
		a := attr{whole: span{lo: p.pos}}
		var err error
		if a.prefix, a.local, err = p.qname(); err != nil {
			return err
		}
		p.space()
		if !p.skip("=") {
			return p.bad("attribute without a value")
		}
		p.space()
		if !p.at(`"`) && !p.at("'") {
			return p.bad("attribute value without quotes")
		}
		a.quote = p.s[p.pos]
		p.pos++
		a.value.lo = p.pos
		if err := p.quoted(a.quote); err != nil {
			return err
		}
		a.value.hi, a.whole.hi = p.pos-1, p.pos
		n.attrs = append(n.attrs, a)
	}
}

// quoted reads an attribute value and its closing quote.
func (p *scanner) quoted(quote byte) error {
	for p.pos < len(p.s) {
		switch c := p.s[p.pos]; c {
		case quote:
			p.pos++
			return nil
		case '<':
			return p.bad("< in an attribute value")
		case '&':
			_, n := reference(p.s[p.pos:])
			if n == 0 {
				return p.bad("undefined or malformed reference")
			}
			p.pos += n
		default:
			if err := p.char(); err != nil {
				return err
			}
		}
	}
	return p.bad("attribute value does not end")
}

// resolve binds what the tag declares and looks up its names. The bindings
// are a stack for each prefix, so that a lookup costs the same however many
// declarations there are.
func (p *scanner) resolve(n *node) error {
	for i := range n.attrs {
		a := &n.attrs[i]
		var prefix string
		switch {
		case a.prefix == "xmlns":
			prefix = a.local
		case a.prefix != "" || a.local != "xmlns":
			continue
		}
		a.ns = nsXMLNS
		a.bound = unescape(p.s[a.value.lo:a.value.hi], true)
		reserved := prefix == "xmlns" || (prefix == "xml") != (a.bound == nsXML) || a.bound == nsXMLNS
		if reserved || prefix != "" && a.bound == "" {
			return p.bad("namespace declaration that is not allowed")
		}
		p.bound[prefix] = append(p.bound[prefix], a.bound)
	}
	var ok bool
	if n.ns, ok = p.lookup(n.prefix); !ok || n.prefix == "xmlns" {
		return p.bad("prefix that is bound to no namespace")
	}
	for i := range n.attrs {
		a := &n.attrs[i]
		if a.ns == "" && a.prefix != "" {
			if a.ns, ok = p.lookup(a.prefix); !ok {
				return p.bad("prefix that is bound to no namespace")
			}
		}
	}
	if repeats(n.attrs) {
		return p.bad("attribute given twice")
	}
	return nil
}

// repeats reports whether two attributes have the same expanded name.
func repeats(attrs []attr) bool {
	key := func(a *attr) name {
		if p, ok := a.declared(); ok {
			return name{nsXMLNS, p} // "" is the default namespace
		}
		return a.name
	}
	if len(attrs) <= 8 { // the usual case, without a map
		for i := range attrs {
			for j := range i {
				if key(&attrs[i]) == key(&attrs[j]) {
					return true
				}
			}
		}
		return false
	}
	seen := make(map[name]bool, len(attrs))
	for i := range attrs {
		k := key(&attrs[i])
		if seen[k] {
			return true
		}
		seen[k] = true
	}
	return false
}

func (p *scanner) lookup(prefix string) (string, bool) {
	stack := p.bound[prefix]
	if len(stack) == 0 {
		return "", false
	}
	return stack[len(stack)-1], true
}

func (p *scanner) unbind(n *node) {
	for i := range n.attrs {
		if prefix, ok := n.attrs[i].declared(); ok {
			p.bound[prefix] = p.bound[prefix][:len(p.bound[prefix])-1]
		}
	}
}

func (p *scanner) endTag() error {
	from := p.pos
	if len(p.open) == 0 {
		return p.bad("end tag without a start tag")
	}
	p.pos += 2
	prefix, local, err := p.qname()
	if err != nil {
		return err
	}
	n := p.open[len(p.open)-1]
	if prefix != n.prefix || local != n.local {
		p.pos = from
		return p.bad("end tag does not match")
	}
	p.space()
	if !p.skip(">") {
		return p.bad("malformed tag")
	}
	n.close = span{from, p.pos}
	p.open = p.open[:len(p.open)-1]
	p.unbind(n)
	return nil
}
