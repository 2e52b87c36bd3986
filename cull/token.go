package cull

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxLine bounds a line of the journal or of decide, in bytes without the
// newline: room for one entry of MaxChanges frames.
const MaxLine = 1 << 20

// MaxChanges bounds the frames of one entry.
const MaxChanges = 16384

// LineError says in one sentence what is wrong with a line of decide or of a
// journal.
type LineError struct {
	Reason  string // lower case, no final period
	Damaged bool   // of a journal line: its checksum is missing or does not fit, as after a torn write
}

func (e *LineError) Error() string { return e.Reason }

func badLine(reason string) error { return &LineError{Reason: reason} }

// tokenKind tells the three spellings of a word apart: plain, #id, "quoted".
type tokenKind uint8

const (
	plainToken tokenKind = iota
	idToken              // text is without the #
	quotedToken
)

type token struct {
	kind  tokenKind
	text  string
	start int // byte offset in the line
}

// scanLine cuts a line into its tokens and the comment after the first token
// that begins with a semicolon. Control characters outside quotes are refused,
// because a line goes to logs and terminals.
func scanLine(line string) (tokens []token, comment string, err error) {
	if len(line) > MaxLine {
		return nil, "", badLine("the line is too long")
	}
	if err := checkText(line); err != nil {
		return nil, "", err
	}
	for i := 0; ; {
		for i < len(line) && isBlank(line[i]) {
			i++
		}
		if i == len(line) {
			return tokens, "", nil
		}
		if line[i] == ';' {
			return tokens, line[i+1:], nil
		}
		t, n, err := scanToken(line[i:])
		if err != nil {
			return nil, "", err
		}
		t.start = i
		tokens = append(tokens, t)
		i += n
	}
}

// scanToken reads one token at the start of s, which is not blank.
func scanToken(s string) (t token, n int, err error) {
	end := strings.IndexAny(s, " \t")
	if end < 0 {
		end = len(s)
	}
	switch s[0] {
	case '"':
		text, n, err := unquote(s)
		if err == nil && n < len(s) && !isBlank(s[n]) {
			err = badLine("a quoted text must be followed by a space")
		}
		return token{kind: quotedToken, text: text}, n, err
	case '#':
		if len(s) > 1 && s[1] == '"' { // an id that is not sixteen hex digits: never made by garner, kept all the same
			t, n, err := scanToken(s[1:])
			return token{kind: idToken, text: t.text}, n + 1, err
		}
		text := strings.ToLower(s[1:end])
		if !isHex(text) || len(text) < minPrefix || len(text) > 16 {
			return token{}, 0, badLine("an id is # and 6 to 16 hexadecimal digits; quote a name that begins with #")
		}
		return token{kind: idToken, text: text}, end, nil
	}
	return token{kind: plainToken, text: s[:end]}, end, nil
}

// minPrefix is the shortest part of an id that may stand for it: 24 bits, so
// that in a job of thousands a typing error rarely meets another frame.
const minPrefix = 6

func isBlank(c byte) bool { return c == ' ' || c == '\t' }

func isHex(s string) bool {
	for i := range len(s) {
		if _, ok := hexDigit(s[i]); !ok {
			return false
		}
	}
	return s != ""
}

// checkText refuses what could act on a terminal or hide in a log.
func checkText(s string) error {
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && n == 1 {
			return badLine("the line is not UTF-8; write such a name in quotes with \\udcXX for the byte XX")
		}
		if r != '\t' && r != ' ' && (unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp)) {
			return badLine("the line holds a control or format character; write it in quotes as \\uXXXX")
		}
		i += n
	}
	return nil
}
