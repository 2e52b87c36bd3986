package job

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// count writes a number with its word: "1 entry", "2 entries".
func count(n int, word string) string {
	if n != 1 {
		if stem, ok := strings.CutSuffix(word, "y"); ok {
			word = stem + "ies"
		} else {
			word += "s"
		}
	}
	return strconv.Itoa(n) + " " + word
}

// showPath makes a name from the disk fit for a message.
func showPath(path string) string {
	for _, r := range path {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return strconv.QuoteToASCII(path)
		}
	}
	return path
}
