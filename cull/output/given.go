package output

import (
	"cmp"
	"maps"
	"slices"
)

// Given is what a finished picture was given when it was cut.
type Given struct {
	Number int       // the same in all sets; 0 = none yet
	Files  []SetFile // by set
}

// SetFile is a file of a set.
type SetFile struct{ Set, File string }

// AllGiven returns names and numbers as they were noted, by the paths of the pictures in
// finished/. No picture is opened.
func AllGiven(root string) (map[string]Given, error) {
	l, err := openLedger(ledgerPath(root))
	if err != nil {
		return nil, err
	}
	given := map[string]Given{}
	for path, p := range l.pictures {
		given[path] = Given{Number: p.Number}
	}
	bySet := func(a, b fileKey) int { return cmp.Or(cmp.Compare(a.set, b.set), cmp.Compare(a.picture, b.picture)) }
	for _, k := range slices.SortedFunc(maps.Keys(l.files), bySet) {
		if r := l.files[k]; r.Cut != "" {
			g := given[k.picture]
			g.Files = append(g.Files, SetFile{k.set, r.File})
			given[k.picture] = g
		}
	}
	return given, nil
}
