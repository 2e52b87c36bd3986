package xmp

import "strings"

// span is a half-open range of bytes of the text.
type span struct{ lo, hi int }

// attr is one attribute; value is what stands between the quotes.
type attr struct {
	name
	prefix string // "" for none
	whole  span
	value  span
	quote  byte
	bound  string // the namespace, where this is a declaration
}

type pieceKind byte

const (
	charData pieceKind = iota
	cdata
	aside // a comment or processing instruction
)

// piece is a child of an element that is no element.
type piece struct {
	span
	kind pieceKind
}

// node is an element. For an empty-element tag, close is empty and lies at the
// end of open.
type node struct {
	name
	parent *node
	prefix string
	open   span // the start tag
	close  span // the end tag
	empty  bool // written as an empty-element tag
	attrs  []attr
	kids   []*node
	pieces []piece
}

func (n *node) span() span { return span{n.open.lo, n.close.hi} }

func (n *node) is(ns, local string) bool { return n.ns == ns && n.local == local }

// isArray reports whether the node is one of RDF's containers.
func (n *node) isArray() bool {
	return n.ns == NSRDF && (n.local == "Bag" || n.local == "Seq" || n.local == "Alt")
}

func (n *node) attr(ns, local string) *attr {
	for i := range n.attrs {
		if a := &n.attrs[i]; a.ns == ns && a.local == local {
			return a
		}
	}
	return nil
}

// declared returns the prefix that a namespace declaration binds.
func (a *attr) declared() (prefix string, ok bool) {
	switch {
	case a.ns != nsXMLNS:
		return "", false
	case a.prefix == "":
		return "", true
	}
	return a.local, true
}

// isProperty reports whether the attribute states a property (ISO 16684-1
// §7.9.2.2) and is not part of the syntax.
func (a *attr) isProperty() bool {
	switch a.ns {
	case "", nsXML, nsXMLNS:
		return false
	case NSRDF:
		switch a.local {
		case "about", "ID", "nodeID", "resource", "parseType", "datatype", "aboutEach", "bagID":
			return false
		}
	}
	return true
}

// attrText is the attribute's value.
func (d *Doc) attrText(a *attr) string { return unescape(d.text[a.value.lo:a.value.hi], true) }

// nodeText is the character data directly within an element.
func (d *Doc) nodeText(n *node) string {
	var out strings.Builder
	for _, p := range n.pieces {
		switch p.kind {
		case charData:
			out.WriteString(unescape(d.text[p.lo:p.hi], false))
		case cdata:
			inner := d.text[p.lo+len(cdataOpen) : p.hi-len(cdataClose)]
			out.WriteString(lineEnds.Replace(inner))
		}
	}
	return out.String()
}

// scope returns the namespace of every prefix that is bound within n.
func scope(n *node) map[string]string {
	bound := map[string]string{"xml": nsXML, "xmlns": nsXMLNS}
	for ; n != nil; n = n.parent {
		for i := range n.attrs {
			if p, ok := n.attrs[i].declared(); ok {
				if _, inner := bound[p]; !inner {
					bound[p] = n.attrs[i].bound
				}
			}
		}
	}
	return bound
}
