package cull

import (
	"strings"
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
	kind tokenKind
	text string
}

// scanner reads a line token by token, up to the comment that begins with a
// semicolon at the start of a token.
type scanner struct {
	line string
	at   int
}

// newScanner refuses control and format characters, because a line goes to
// logs and terminals.
func newScanner(line string) (*scanner, error) {
	if len(line) > MaxLine {
		return nil, badLine("the line is too long")
	}
	if err := checkText(line); err != nil {
		return nil, err
	}
	return &scanner{line: line}, nil
}

// peek returns the next token without taking it; ok is false at the comment or
// at the end.
func (s *scanner) peek() (t token, end int, ok bool, err error) {
	for s.at < len(s.line) && isBlank(s.line[s.at]) {
		s.at++
	}
	if s.at == len(s.line) || s.line[s.at] == ';' {
		return token{}, s.at, false, nil
	}
	t, n, err := scanToken(s.line[s.at:])
	return t, s.at + n, err == nil, err
}

func (s *scanner) next() (t token, ok bool, err error) {
	t, end, ok, err := s.peek()
	s.at = end
	return t, ok, err
}

// all takes the tokens that are left.
func (s *scanner) all() (tokens []token, err error) {
	for {
		t, ok, err := s.next()
		if !ok {
			return tokens, err
		}
		tokens = append(tokens, t)
	}
}

// text takes what is left as it stands, up to a semicolon after a blank.
func (s *scanner) text() string {
	rest := s.line[s.at:]
	for i := 1; i < len(rest); i++ {
		if rest[i] == ';' && isBlank(rest[i-1]) {
			rest = rest[:i]
		}
	}
	s.at += len(rest)
	return strings.Trim(rest, " \t")
}

// comment returns what follows the semicolon, once the tokens are taken.
func (s *scanner) comment() string {
	if s.at < len(s.line) && s.line[s.at] == ';' {
		return s.line[s.at+1:]
	}
	return ""
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
