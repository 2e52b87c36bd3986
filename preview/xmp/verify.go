package xmp

import (
	"fmt"
	"reflect"
	"slices"
)

// verify is the self-check of an edited document. Without the edited
// properties both documents must be the same text; all other properties must
// read the same, whatever happened to prefixes; and the edited ones must read as
// wanted.
func verify(before, after *Doc, edits []Edit) error {
	keys := map[name]bool{}
	for i := range edits {
		keys[edits[i].key()] = true
	}
	foreign := func(d *Doc) string { return splice(d.text, d.removal(keys)) }
	if !before.rdf.empty && foreign(before) != foreign(after) {
		return fmt.Errorf("%w: other bytes changed", errCheck)
	}
	others := func(d *Doc) []Property {
		return slices.DeleteFunc(d.Properties(), func(p Property) bool { return keys[name{p.NS, p.Name}] })
	}
	same := func(a, b Property) bool { return reflect.DeepEqual(a, b) }
	if !slices.EqualFunc(others(before), others(after), same) {
		return fmt.Errorf("%w: other properties changed", errCheck)
	}
	for i := range edits {
		if err := after.holds(&edits[i], before); err != nil {
			return err
		}
	}
	return nil
}

// holds checks the outcome of an edit.
func (d *Doc) holds(e *Edit, before *Doc) error {
	ok := true
	switch value, found := d.Get(e.NS, e.Name); {
	case e.Remove:
		ok = d.Kind(e.NS, e.Name) == Absent
	case e.As == Alt && !found:
		value, found = d.AltText(e.NS, e.Name)
		ok = found && value == e.Value
	case !e.isList():
		ok = found && value == e.Value
	default:
		items := map[string]bool{}
		for _, item := range d.Bag(e.NS, e.Name) {
			items[item] = true
		}
		for _, item := range e.AddToBag {
			ok = ok && items[item]
		}
		for _, item := range before.Bag(e.NS, e.Name) {
			ok = ok && (items[item] || slices.Contains(e.RemoveFromBag, item))
		}
	}
	if !ok {
		return fmt.Errorf("%w: %s does not read as written", errCheck, e.Name)
	}
	return nil
}
