package job

import (
	"reflect"
	"slices"
	"strings"
)

// ProofsSet is the name of the set that is a page for the client, and contact sheets.
const ProofsSet = "proofs"

// Papers are what contact sheets may be printed on.
var Papers = []string{"a4", "letter", noPaper}

const noPaper = "none"

// Keys that [sets.proofs] has alone, and those that it shares with other sets: what
// its pictures are for settles the rest.
var (
	pageKeys   = []string{"title", "note", "paper", "columns", "rows"}
	proofsKeys = slices.Concat([]string{"skip", "long_edge", "quality", "chroma", "sharpen", "sharpen_radius", "sharpen_threshold", "stamp"}, pageKeys)
)

// checkKind refuses the keys of another kind of set.
func (s SetSettings) checkKind(name string, at faultAt) *misset {
	v := reflect.ValueOf(s)
	proofs := strings.EqualFold(name, ProofsSet)
	for i, key := range keysOf(v.Type()) {
		switch {
		case v.Field(i).IsNil():
		case proofs && !slices.Contains(proofsKeys, key):
			return at(key, "%s is no setting of %s: there are %s", key, ProofsSet, strings.Join(proofsKeys, ", "))
		case !proofs && slices.Contains(pageKeys, key):
			return at(key, "%s is a setting of [sets.%s] alone", key, ProofsSet)
		}
	}
	return nil
}

func (s SetSettings) checkProofs(at faultAt) *misset {
	for _, k := range s.Paper {
		if f := oneOf(at, "paper", &k, Papers...); f != nil {
			return f
		}
		if strings.EqualFold(k, noPaper) && len(s.Paper) > 1 {
			return at("paper", "paper is %s, or of a size, not both", noPaper)
		}
	}
	if s.Title != nil {
		if err := validName(*s.Title); err != nil {
			return at("title", "title %v", err)
		}
	}
	if s.Note != nil {
		if err := validName(strings.NewReplacer("\r\n", " ", "\n", " ", "\t", " ").Replace(*s.Note)); err != nil {
			return at("note", "note %v", err)
		}
	}
	return nil
}
