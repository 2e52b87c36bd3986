package plan

import (
	"path"
	"strconv"
	"strings"
)

// The folders below which nothing is called by a body's letter.
const (
	unknownFolder = "unknown" // no body is known
	clipsFolder   = "clips"   // trees of a card outside DCIM
	asideFolder   = "aside"   // damaged twins
)

// roundName is the folder of a letter's r-th round: A, A2, A3, … A letter that
// ends in a digit is kept apart from its round: 1, 1-2.
func roundName(letter string, r int) string {
	if r <= 1 {
		return letter
	}
	return letter + roundMark(letter) + strconv.Itoa(r)
}

func roundMark(letter string) string {
	if n := len(letter); n > 0 && letter[n-1] >= '0' && letter[n-1] <= '9' {
		return "-"
	}
	return ""
}

// roundOf says which round of a letter a folder is, 0 if it is none.
func roundOf(letter, folder string) int {
	rest, ok := strings.CutPrefix(folder, letter)
	switch {
	case !ok:
		return 0
	case rest == "":
		return 1
	}
	number, ok := strings.CutPrefix(rest, roundMark(letter))
	if r, err := strconv.Atoi(number); ok && err == nil && r >= 2 && strconv.Itoa(r) == number {
		return r
	}
	return 0
}

// splitRound takes a folder's name for a letter and its round.
func splitRound(folder string) (letter string, r int) {
	stem := strings.TrimRight(folder, "0123456789")
	r, err := strconv.Atoi(folder[len(stem):])
	if err == nil && r >= 2 {
		for _, letter := range []string{stem, strings.TrimSuffix(stem, "-")} {
			if letter != "" && roundName(letter, r) == folder {
				return letter, r
			}
		}
	}
	return folder, 1
}

// NextRound is the path in the first later round that is not taken: A2/x for A/x,
// clips/A2/x for clips/A/x, aside/A2/x for aside/A/x.
func NextRound(p string, taken func(string) bool) string {
	var head []string
	rest := strings.Split(p, "/")
	for len(rest) > 2 && (rest[0] == asideFolder || rest[0] == clipsFolder) {
		head, rest = append(head, rest[0]), rest[1:]
	}
	if len(rest) == 1 {
		rest = []string{unknownFolder, rest[0]}
	}
	letter, r := splitRound(rest[0])
	for {
		r++
		next := strings.Join(append(append(append([]string{}, head...), roundName(letter, r)), rest[1:]...), "/")
		if !taken(next) {
			return next
		}
	}
}

// AsidePath is the place below aside/ of a file that would have been at p.
func AsidePath(p string, taken func(string) bool) string {
	if !strings.HasPrefix(p, asideFolder+"/") {
		p = asideFolder + "/" + p
	}
	if !taken(p) {
		return p
	}
	return NextRound(p, taken)
}

// asidePath is the place of a file aside. Where many of one name go there, it goes
// on from the last.
func (p *planner) asidePath(home string) string {
	from := home
	if last, ok := p.lastAside[home]; ok {
		from = last
	}
	to := AsidePath(from, func(q string) bool { return p.taken.has(Fold(q)) })
	p.lastAside[home] = to
	return join(p.taken.spell(dirOf(to)), path.Base(to))
}
