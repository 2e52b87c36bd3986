package store

import (
	"strings"
	"unicode/utf8"
)

const (
	partialSuffix = ".garner-partial"
	maxName       = 255 // bytes; the limit of most file systems
)

// PartialName returns the name, without folder, of a file in the making for the
// target name base: .BASE.TOKEN.garner-partial. Whoever finds one knows whose it
// was; the dot keeps it out of sight. The token makes it a name of one writer
// alone: two writers of one target with a common name could publish each other's
// half-written file. A base that would make the name longer than file systems
// allow is cut at its end, never inside a UTF-8 sequence.
func PartialName(base, token string) string {
	if room := maxName - len(token) - len(partialSuffix) - 2; len(base) > room {
		cut := max(room, 0)
		for back := cut; back > 0 && back > cut-utf8.UTFMax; back-- {
			if utf8.RuneStart(base[back]) {
				cut = back
				break
			}
		}
		base = base[:cut]
	}
	return "." + base + "." + token + partialSuffix
}

// IsPartial reports whether name, without folder, is one that [PartialName] makes.
func IsPartial(name string) bool {
	body, ok := strings.CutSuffix(name, partialSuffix)
	if !ok || !strings.HasPrefix(body, ".") {
		return false
	}
	dot := strings.LastIndexByte(body, '.')
	return dot > 0 && dot+1 < len(body)
}
