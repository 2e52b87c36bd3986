package xmp

import (
	"fmt"
	"slices"
	"strings"
)

// Edit changes one property of the resource: it sets a simple one to Value,
// or removes it (Remove), or adds to and removes from an unordered array
// (AddToBag, RemoveFromBag; an item that is there already is not added again,
// one that is there twice is removed once). With As it is an ordered array (Seq),
// or Value is the only text of a language alternative (Alt, ISO 16684-1 §8.2.2.4).
type Edit struct {
	NS, Name      string
	Prefix        string // preferred, where the document has none for NS; "" = any
	Value         string
	Remove        bool
	AddToBag      []string
	RemoveFromBag []string
	As            Kind // Seq for a list, Alt for Value and Remove; else zero
}

func (e *Edit) key() name { return name{e.NS, e.Name} }

func (e *Edit) isList() bool { return len(e.AddToBag) > 0 || len(e.RemoveFromBag) > 0 }

func (e *Edit) refuse(format string, args ...any) error {
	return &PropertyError{NS: e.NS, Name: e.Name, Reason: fmt.Sprintf(format, args...)}
}

// Apply returns the document with the edits made, in order, at most one of each
// property; without an error
// nothing but the named properties differs, and where they have the wanted
// values already the result equals the input. The result has been parsed again
// and checked. On an error, a *PropertyError where an edit is at fault, there is
// no result.
func (d *Doc) Apply(edits []Edit) ([]byte, error) {
	out, err := d.apply(edits)
	if err != nil {
		return nil, err
	}
	if out == d {
		return d.Bytes(), nil
	}
	b := out.Bytes()
	again, err := Parse(b)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errCheck, err)
	}
	if err := verify(d, again, edits); err != nil {
		return nil, err
	}
	return b, nil
}

// apply makes the edits one after the other, each on a parsed document: a
// sidecar is small, and every edit then sees the places as they are.
func (d *Doc) apply(edits []Edit) (*Doc, error) {
	var wanted []string
	seen := map[name]bool{}
	for i := range edits {
		e := &edits[i]
		if err := e.valid(); err != nil {
			return nil, err
		}
		if seen[e.key()] {
			return nil, e.refuse("edited twice at once")
		}
		seen[e.key()] = true
		wanted = append(wanted, e.NS)
	}
	for i := range edits {
		cuts, err := d.plan(&edits[i], wanted)
		if err != nil {
			return nil, err
		}
		if len(cuts) == 0 {
			continue
		}
		if d, err = parseText(splice(d.text, cuts), d.enc); err != nil {
			return nil, fmt.Errorf("%w: %w", errCheck, err)
		}
	}
	return d, nil
}

func (e *Edit) valid() error {
	switch {
	case e.NS == "" || !validText(e.NS) || e.NS == nsXML || e.NS == nsXMLNS || e.NS == NSRDF:
		return e.refuse("namespace that is no property's")
	case !isNCName(e.Name) || e.Prefix != "" && !isNCName(e.Prefix) || strings.HasPrefix(strings.ToLower(e.Prefix), "xml"):
		return e.refuse("malformed name or prefix")
	case e.Remove && (e.Value != "" || e.isList()), e.Value != "" && e.isList():
		return e.refuse("more than one change asked at once")
	}
	if e.As != Absent && !(e.As == Seq && e.isList()) && !(e.As == Alt && !e.isList()) {
		return e.refuse("a form that does not fit the change")
	}
	for _, item := range e.AddToBag {
		if slices.Contains(e.RemoveFromBag, item) {
			return e.refuse("item both added and removed")
		}
	}
	for _, v := range slices.Concat([]string{e.Value}, e.AddToBag, e.RemoveFromBag) {
		if !validText(v) {
			return e.refuse("value holds a character that XML does not allow")
		}
	}
	return nil
}

// plan returns the splices of one edit; none where nothing changes.
func (d *Doc) plan(e *Edit, wanted []string) ([]cut, error) {
	at := d.props[e.key()]
	switch {
	case len(at) > 1:
		return nil, e.refuse("stated %d times", len(at))
	case e.isList():
		return d.planList(e, at, wanted)
	case len(at) == 0 && e.Remove:
		return nil, nil
	case len(at) == 0:
		return d.insert(e, wanted)
	}
	s, ok := d.site(at[0])
	if !ok && e.As == Alt {
		s, ok = d.onlyText(at[0])
	}
	switch {
	case !ok:
		return nil, e.refuse("not a simple value")
	case e.Remove:
		return d.removal(map[name]bool{e.key(): true}), nil
	case d.siteText(s) == e.Value:
		return nil, nil
	}
	return d.replace(s, e.Value), nil
}
