package cull

import (
	"fmt"
	"hash/crc32"
	"strings"
	"time"
)

func formatID(id ID) string {
	if s := string(id); isID(s) {
		return "#" + s
	}
	return "#" + quote(string(id))
}

// bare writes a word without quotes where it reads back the same.
func bare(s string) string {
	if strings.HasPrefix(s, "#") && isID(s[1:]) {
		return s
	}
	for _, c := range []byte(s) {
		plain := c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || strings.IndexByte("._:/+-", c) >= 0
		if !plain {
			return quote(s)
		}
	}
	if s == "" {
		return quote(s)
	}
	return s
}

func isAnswerWord(s string) bool { _, ok := ParseAnswer(s); return ok }

func passOr(pass string) string {
	if pass == "" {
		return KeepPass
	}
	return pass
}

func lineSum(s string) string {
	return fmt.Sprintf("%08x", crc32.Checksum([]byte(s), crc32.MakeTable(crc32.Castagnoli)))
}

// stamp brings a time into the form of Entry.At.
func stamp(t time.Time) time.Time { return t.UTC().Truncate(time.Millisecond) }

// passToken writes a pass in front of its command; in quotes where its name
// could be taken for a word of the language.
func passToken(pass string) string {
	if ValidPassName(pass) {
		return pass
	}
	return quote(pass)
}
