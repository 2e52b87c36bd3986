package xmp

import (
	"cmp"
	"slices"
)

// Property is a property of the resource, or a field of a structure.
type Property struct {
	NS, Name string
	Value    Value
}

// Value is a value without its spelling: documents that ISO 16684-1 §7.9 calls
// equivalent have equal values.
type Value struct {
	Kind       Kind
	Text       string     // of Text and URI; the source of Other
	Items      []Value    // of Bag, Seq, Alt, in document order
	Fields     []Property // of Struct, by namespace and name
	Qualifiers []Property // xml:lang and others, by namespace and name
}

// Properties returns every property of the resource by namespace and name. One
// that is stated several times comes several times.
func (d *Doc) Properties() []Property {
	var out []Property
	for _, key := range d.order {
		for _, o := range d.props[key] {
			out = append(out, Property{key.ns, key.local, d.value(o)})
		}
	}
	return sorted(out)
}

func sorted(list []Property) []Property {
	slices.SortStableFunc(list, func(a, b Property) int {
		return cmp.Or(cmp.Compare(a.NS, b.NS), cmp.Compare(a.Name, b.Name))
	})
	return list
}

func (d *Doc) value(o occurrence) Value {
	if o.attr != nil {
		return Value{Kind: Text, Text: d.attrText(o.attr)}
	}
	return d.elemValue(o.elem)
}

// elemValue reads the value of a property element, or of an rdf:li.
func (d *Doc) elemValue(n *node) Value {
	v := d.bareValue(n)
	if lang := n.attr(nsXML, "lang"); lang != nil {
		v.Qualifiers = sorted(append(v.Qualifiers,
			Property{nsXML, "lang", Value{Kind: Text, Text: d.attrText(lang)}}))
	}
	return v
}

func (d *Doc) bareValue(n *node) Value {
	other := Value{Kind: Other, Text: d.text[n.open.lo:n.close.hi]}
	parse, resource := n.syntax("parseType"), n.syntax("resource")
	spaced := func() bool { return allSpace(d.nodeText(n)) }
	switch {
	case parse != nil && d.attrText(parse) == "Resource" && !n.hasProps():
		return d.structure(n, false)
	case parse != nil, n.syntax("nodeID") != nil:
		return other
	case n.hasProps() && len(n.kids) == 0 && resource == nil && spaced():
		return d.structure(n, false)
	case n.hasProps():
		return other
	case resource != nil && len(n.kids) == 0:
		return Value{Kind: URI, Text: d.attrText(resource)}
	case resource != nil:
		return other
	case len(n.kids) == 0:
		return Value{Kind: Text, Text: d.nodeText(n)}
	case len(n.kids) > 1 || !spaced() || n.kids[0].syntax("nodeID") != nil:
		return other
	case n.kids[0].isArray():
		return d.array(n.kids[0])
	}
	return d.structure(n.kids[0], true)
}

func (d *Doc) array(n *node) Value {
	v := Value{Kind: Bag}
	switch n.local {
	case "Seq":
		v.Kind = Seq
	case "Alt":
		v.Kind = Alt
	}
	for _, li := range n.kids {
		v.Items = append(v.Items, d.elemValue(li))
	}
	return v
}

// structure reads the fields of a node, or of a property element that stands
// for one (§7.9.2.2–7.9.2.5); with an rdf:value among them they are the
// qualifiers of that value (§7.8).
func (d *Doc) structure(n *node, isNode bool) Value {
	var fields []Property
	for i := range n.attrs {
		if a := &n.attrs[i]; a.isProperty() {
			fields = append(fields, Property{a.ns, a.local, Value{Kind: Text, Text: d.attrText(a)}})
		}
	}
	for _, k := range n.kids {
		fields = append(fields, Property{k.ns, k.local, d.elemValue(k)})
	}
	if isNode && !n.is(NSRDF, "Description") { // a typed node (§7.9.2.5)
		fields = append(fields, Property{NSRDF, "type", Value{Kind: URI, Text: n.ns + n.local}})
	}
	sorted(fields)
	values, at := 0, 0
	for i, f := range fields {
		if f.NS == NSRDF && f.Name == "value" {
			values++
			at = i
		}
	}
	if values != 1 {
		return Value{Kind: Struct, Fields: fields}
	}
	v := fields[at].Value
	v.Qualifiers = sorted(append(v.Qualifiers, slices.Delete(fields, at, at+1)...))
	return v
}
