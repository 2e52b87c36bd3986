package xmp

// This file implements which elements of a document state properties of the
// resource (ISO 16684-1 §7.4).

// occurrence is one place where a property is stated: an attribute of a
// describing node, or an element in it.
type occurrence struct {
	desc *node
	attr *attr
	elem *node
}

// index finds rdf:RDF, its describing nodes and their properties.
func (d *Doc) index(root *node) error {
	var found []*node
	var find func(n *node)
	find = func(n *node) {
		if n.is(NSRDF, "RDF") {
			found = append(found, n)
			return
		}
		for _, k := range n.kids {
			find(k)
		}
	}
	find(root)
	switch len(found) {
	case 0:
		return &FormatError{int64(root.open.lo), "no rdf:RDF"}
	case 1:
		d.rdf = found[0]
	default:
		return &UnsupportedError{int64(found[1].open.lo), "more than one rdf:RDF"}
	}
	about := ""
	d.props = make(map[name][]occurrence)
	for _, n := range d.rdf.kids {
		// Nodes with a name of their own inside the document describe something
		// else (a common node that properties point to); XMP does not have them.
		if n.isArray() || n.attr(NSRDF, "nodeID") != nil || n.attr(NSRDF, "ID") != nil {
			continue
		}
		// All rdf:about of a packet are the same; a missing or empty one is tolerated.
		if a := aboutOf(n); a != nil {
			uri := d.attrText(a)
			if about != "" && uri != "" && uri != about {
				return &UnsupportedError{int64(a.whole.lo), "more than one described resource"}
			}
			if about == "" {
				about = uri
			}
		}
		d.descs = append(d.descs, n)
		for i := range n.attrs {
			if a := &n.attrs[i]; a.isProperty() {
				d.state(a.name, occurrence{desc: n, attr: a})
			}
		}
		for _, k := range n.kids {
			d.state(k.name, occurrence{desc: n, elem: k})
		}
	}
	return nil
}

func (d *Doc) state(key name, o occurrence) {
	if len(d.props[key]) == 0 {
		d.order = append(d.order, key)
	}
	d.props[key] = append(d.props[key], o)
}

// aboutOf returns rdf:about, or the unqualified form that early RDF/XML had.
func aboutOf(n *node) *attr {
	if a := n.attr(NSRDF, "about"); a != nil {
		return a
	}
	return n.attr("", "about")
}

// syntax returns one of RDF's own attributes of a property element.
func (n *node) syntax(local string) *attr { return n.attr(NSRDF, local) }

// hasProps reports whether property attributes stand on the element.
func (n *node) hasProps() bool {
	for i := range n.attrs {
		if n.attrs[i].isProperty() {
			return true
		}
	}
	return false
}

// site is where the text of a simple value stands: an attribute's value, or the
// character data of an element without child elements.
type site struct {
	attr *attr
	elem *node
}

// site finds the text of a property, also where qualifiers surround it
// (§7.8, rdf:value). It is false for arrays, structures and what is not known.
func (d *Doc) site(o occurrence) (site, bool) {
	if o.attr != nil {
		return site{attr: o.attr}, true
	}
	return d.elemSite(o.elem)
}

func (d *Doc) elemSite(n *node) (site, bool) {
	parse, resource := n.syntax("parseType"), n.syntax("resource")
	switch {
	case parse != nil:
		if d.attrText(parse) != "Resource" || n.hasProps() {
			return site{}, false
		}
		return d.valueOf(n)
	case n.syntax("nodeID") != nil, len(n.kids) > 0 && !allSpace(d.nodeText(n)):
	case n.hasProps():
		if len(n.kids) == 0 && resource == nil && allSpace(d.nodeText(n)) {
			return d.valueOf(n)
		}
	case resource != nil:
		return site{attr: resource}, len(n.kids) == 0
	case len(n.kids) == 0:
		return site{elem: n}, true
	case len(n.kids) == 1 && !n.kids[0].isArray() && n.kids[0].syntax("nodeID") == nil:
		return d.valueOf(n.kids[0])
	}
	return site{}, false
}

// valueOf finds the only rdf:value of a node.
func (d *Doc) valueOf(n *node) (site, bool) {
	a := n.attr(NSRDF, "value")
	var elem *node
	count := 0
	for _, k := range n.kids {
		if k.is(NSRDF, "value") {
			elem = k
			count++
		}
	}
	switch {
	case a != nil && count == 0:
		return site{attr: a}, true
	case a == nil && count == 1:
		return d.elemSite(elem)
	}
	return site{}, false
}

func (d *Doc) siteText(s site) string {
	if s.attr != nil {
		return d.attrText(s.attr)
	}
	return d.nodeText(s.elem)
}

// list returns the container of an array property.
func (d *Doc) list(o occurrence) (*node, bool) {
	n := o.elem
	if n == nil || len(n.kids) != 1 || !n.kids[0].isArray() || n.hasProps() ||
		n.syntax("parseType") != nil || n.syntax("nodeID") != nil || n.syntax("resource") != nil ||
		n.kids[0].syntax("nodeID") != nil || !allSpace(d.nodeText(n)) {
		return nil, false
	}
	return n.kids[0], true
}
