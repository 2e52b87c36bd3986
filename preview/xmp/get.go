package xmp

// Kind says what form a property has.
type Kind int

// The kinds of a property. Repeated is a property that the document states
// more than once, which XMP forbids: nobody can say which one counts. Other is
// what XMP does not have (rdf:nodeID, parseType="Literal") or is malformed.
const (
	Absent Kind = iota
	Text
	URI
	Bag
	Seq
	Alt
	Struct
	Repeated
	Other
)

func (k Kind) String() string {
	return [...]string{"absent", "text", "URI", "bag", "sequence", "alternatives", "structure",
		"repeated", "other"}[k]
}

// Kind returns the form of a property of the resource.
func (d *Doc) Kind(ns, local string) Kind {
	switch at := d.props[name{ns, local}]; len(at) {
	case 0:
		return Absent
	case 1:
		return d.value(at[0]).Kind
	}
	return Repeated
}

// Get returns the text of a simple property, white space included. It is
// false where the property is absent, repeated, an array or a structure.
func (d *Doc) Get(ns, local string) (value string, ok bool) {
	at := d.props[name{ns, local}]
	if len(at) != 1 {
		return "", false
	}
	s, ok := d.site(at[0])
	if !ok {
		return "", false
	}
	return d.siteText(s), true
}

// Bag returns the items of an array of simple values (rdf:Bag or rdf:Seq) in
// document order; items that are structures are left out. It is nil where the
// property is no such array.
func (d *Doc) Bag(ns, local string) []string {
	at := d.props[name{ns, local}]
	if len(at) != 1 {
		return nil
	}
	list, ok := d.list(at[0])
	if !ok || list.local == "Alt" {
		return nil
	}
	items := []string{}
	for _, li := range list.kids {
		if s, ok := d.elemSite(li); ok {
			items = append(items, d.siteText(s))
		}
	}
	return items
}
