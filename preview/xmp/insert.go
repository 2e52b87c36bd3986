package xmp

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// insert writes a property that the document does not have.
func (d *Doc) insert(e *Edit, wanted []string) ([]cut, error) {
	if n := d.target(wanted); n != nil {
		space := d.childSpace(n)
		at := d.spaceBefore(n.close.lo)
		return []cut{{span{at, at}, space + d.element(e, scope(n), space)}}, nil
	}
	return d.insertBlock(e), nil
}

// target chooses the rdf:Description for new properties: the one in which most
// of the wanted namespaces have a prefix, the last of several. One written as
// an empty-element tag is left as it is.
func (d *Doc) target(wanted []string) *node {
	var best *node
	most := -1
	outer := map[string][]string{} // wanted namespace → prefixes outside of the nodes
	for prefix, ns := range scope(d.rdf) {
		if slices.Contains(wanted, ns) {
			outer[ns] = append(outer[ns], prefix)
		}
	}
	for _, n := range d.descs {
		if !n.is(NSRDF, "Description") || n.empty {
			continue
		}
		if d.bare(n) && allSpace(d.text[n.open.hi:n.close.lo]) {
			continue
		}
		if count := n.names(wanted, outer); count >= most {
			best, most = n, count
		}
	}
	return best
}

// names counts the wanted namespaces that have a prefix within the node. It
// looks at the node's own declarations only and takes the rest from outer: the
// scope of every node anew would be quadratic in a hostile document.
func (n *node) names(wanted []string, outer map[string][]string) int {
	own := map[string]string{}
	inner := map[string]bool{}
	for i := range n.attrs {
		if p, ok := n.attrs[i].declared(); ok {
			own[p] = n.attrs[i].bound
			inner[n.attrs[i].bound] = true
		}
	}
	count := 0
	for _, ns := range wanted {
		visible := slices.ContainsFunc(outer[ns], func(p string) bool {
			_, hidden := own[p]
			return !hidden
		})
		if visible || inner[ns] {
			count++
		}
	}
	return count
}

// insertBlock adds an rdf:Description that holds nothing else.
func (d *Doc) insertBlock(e *Edit) []cut {
	bound := scope(d.rdf)
	space := d.childSpace(d.rdf)
	quote := d.quote()
	// RDF's attributes need a prefix even where its elements have none.
	attrPrefix, ok := attrPrefixOf(bound, NSRDF)
	declare := ""
	if !ok {
		attrPrefix = freePrefix(bound, "rdf")
		declare = " xmlns:" + attrPrefix + "=" + quote + NSRDF + quote
		bound[attrPrefix] = NSRDF
	}
	tag := qualified(d.rdf.prefix, "Description")
	inner := d.deeper(space)
	var b strings.Builder
	b.WriteString("<" + tag + declare + " " + attrPrefix + ":about=" + d.about(quote) + ">")
	b.WriteString(inner + d.element(e, bound, inner))
	b.WriteString(lineOf(space) + "</" + tag + ">")
	if d.rdf.empty {
		slash := span{d.rdf.open.hi - len("/>"), d.rdf.open.hi}
		end := d.ownLine(d.rdf.open.lo)
		return []cut{{slash, ">" + space + b.String() + end + "</" + qualified(d.rdf.prefix, "RDF") + ">"}}
	}
	at := d.spaceBefore(d.rdf.close.lo)
	return []cut{{span{at, at}, space + b.String()}}
}

// about is the quoted name of the resource, as the document spells it.
func (d *Doc) about(quote string) string {
	for _, n := range d.descs {
		if a := aboutOf(n); a != nil && a.value.lo < a.value.hi {
			return d.text[a.value.lo-1 : a.value.hi+1]
		}
	}
	return quote + quote
}

// quote is the kind of quotes that the document uses.
func (d *Doc) quote() string {
	for n := d.rdf; n != nil; n = n.parent {
		if len(n.attrs) > 0 {
			return string(n.attrs[0].quote)
		}
	}
	return `"`
}

// element writes a property; space is the white space before it.
func (d *Doc) element(e *Edit, bound map[string]string, space string) string {
	prefix, ok := prefixOf(bound, e.NS, e.Prefix)
	declare := ""
	if !ok {
		prefix = freePrefix(bound, cmp.Or(e.Prefix, "ns"))
		declare = " xmlns:" + prefix + "=" + d.quote() + escapeAttr(e.NS, d.quote()[0]) + d.quote()
	}
	tag := qualified(prefix, e.Name)
	inner := d.deeper(space)
	rdf, _ := prefixOf(bound, NSRDF, d.rdf.prefix) // bound, or there would be no rdf:Description
	if e.As == Alt {
		alt, li := qualified(rdf, "Alt"), qualified(rdf, "li")
		quote := d.quote()
		return "<" + tag + declare + ">" + inner + "<" + alt + ">" +
			d.deeper(inner) + "<" + li + " xml:lang=" + quote + defaultLanguage + quote + ">" + escapeText(e.Value) + "</" + li + ">" +
			inner + "</" + alt + ">" + lineOf(space) + "</" + tag + ">"
	}
	if !e.isList() {
		return "<" + tag + declare + ">" + escapeText(e.Value) + "</" + tag + ">"
	}
	bag := qualified(rdf, "Bag")
	if e.As == Seq {
		bag = qualified(rdf, "Seq")
	}
	return "<" + tag + declare + ">" + inner + "<" + bag + ">" +
		d.items(e.AddToBag, rdf, d.deeper(inner)) +
		inner + "</" + bag + ">" + lineOf(space) + "</" + tag + ">"
}

// items writes array items, each after the given white space.
func (d *Doc) items(values []string, prefix, space string) string {
	var b strings.Builder
	li := qualified(prefix, "li")
	for _, v := range values {
		b.WriteString(space + "<" + li + ">" + escapeText(v) + "</" + li + ">")
	}
	return b.String()
}

// prefixOf returns a prefix that names a namespace in an element's name, the
// preferred one first; the empty prefix is the default namespace.
func prefixOf(bound map[string]string, ns, prefer string) (string, bool) {
	if bound[prefer] == ns && prefer != "" {
		return prefer, true
	}
	if p, ok := attrPrefixOf(bound, ns); ok {
		return p, true
	}
	return "", bound[""] == ns
}

// attrPrefixOf is prefixOf for attributes, which the default namespace does not
// reach. The choice does not depend on the order of a map.
func attrPrefixOf(bound map[string]string, ns string) (string, bool) {
	var all []string
	for p, b := range bound {
		if b == ns && p != "" {
			all = append(all, p)
		}
	}
	if len(all) == 0 {
		return "", false
	}
	return slices.Min(all), true
}

// freePrefix makes a prefix that is not bound.
func freePrefix(bound map[string]string, want string) string {
	p := want
	for i := 1; ; i++ {
		if _, taken := bound[p]; !taken {
			return p
		}
		p = want + strconv.Itoa(i)
	}
}
