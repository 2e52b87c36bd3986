package plan

import (
	"strings"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// Fold is what two paths have in common that some file system takes for one: it
// is equal for paths that differ only in case or in Unicode normal form. Equal
// keys do not mean that every file system takes the two for one; unequal ones
// mean that none does. The key is for comparison and never a path.
func Fold(path string) string {
	if key, ok := foldASCII(path); ok {
		return key
	}
	elements := strings.Split(path, "/")
	for i, e := range elements {
		elements[i] = foldElement(e)
	}
	return strings.Join(elements, "/")
}

func foldASCII(s string) (string, bool) {
	upper := false
	for i := range len(s) {
		c := s[i]
		if c >= 0x80 {
			return "", false
		}
		upper = upper || c >= 'A' && c <= 'Z'
	}
	if !upper {
		return s, true
	}
	return strings.ToLower(s), true
}

// foldElement folds one name: compatibility forms apart, case away, put together
// again (Unicode Standard Annex 15 and section 3.13 of the standard). Folding the
// case may leave something to normalise, so it goes on until nothing changes.
func foldElement(e string) string {
	e = strings.ToValidUTF8(e, "\uFFFD")
	fold := cases.Fold()
	for range 4 {
		key := norm.NFC.String(fold.String(norm.NFKC.String(e)))
		// A compatibility form such as U+2100 holds a slash.
		key = strings.ReplaceAll(key, "/", "\u2215")
		if key == e {
			break
		}
		e = key
	}
	return e
}
