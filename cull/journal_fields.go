package cull

import (
	"strconv"
	"strings"
	"time"
)

// fields is the comment of a journal line, cut into its key=value pairs.
type fields struct {
	values map[string]string
	args   []string
}

// parseFields reads key=value pairs. A key that this version does not know is
// an error: to pass over it would replay less than was decided.
func parseFields(s string) (fields, error) {
	f := fields{values: map[string]string{}}
	for s = strings.TrimLeft(s, " "); s != ""; s = strings.TrimLeft(s, " ") {
		key, rest, ok := strings.Cut(s, "=")
		if !ok {
			return fields{}, badLine("a field of the journal line has no value")
		}
		value, used, err := fieldValue(key, rest)
		if err != nil {
			return fields{}, err
		}
		s = rest[used:]
		if key == "arg" {
			f.args = append(f.args, value)
			continue
		}
		if _, twice := f.values[key]; twice {
			return fields{}, badLine("the journal line gives a field twice")
		}
		f.values[key] = value
	}
	return f, nil
}

func fieldValue(key, s string) (value string, used int, err error) {
	switch key {
	case "seq", "at", "who", "verb", "pass", "of", "arg", "frames", "was", "now", "shown", "explicit":
	default:
		return "", 0, badLine("the journal line has a field that this version does not know")
	}
	if strings.HasPrefix(s, `"`) {
		return unquote(s)
	}
	used = strings.IndexByte(s, ' ')
	if key == "frames" {
		used = endOfIDs(s)
	}
	if used < 0 {
		used = len(s)
	}
	return s[:used], used, nil
}

// apply puts the fields into e, whose frames and arguments the command may
// have named already.
func (f fields) apply(e *Entry) (err error) {
	if e.Seq, err = strconv.ParseUint(f.values["seq"], 10, 64); err != nil {
		return badLine("the journal line has no number")
	}
	if e.At, err = time.Parse(stampLayout, f.values["at"]); err != nil {
		return badLine("the journal line has no time in the form " + stampLayout)
	}
	e.Who = f.values["who"]
	if verb, ok := f.values["verb"]; ok {
		e.Verb = Verb(verb)
	}
	if pass := f.values["pass"]; e.Pass != "" && e.Pass != pass {
		return badLine("the journal line names two passes")
	} else {
		e.Pass = pass
	}
	if of, ok := f.values["of"]; ok {
		if e.Of, err = strconv.ParseUint(of, 10, 64); err != nil {
			return badLine("the field of is no number")
		}
	}
	if len(f.args) > 0 {
		e.Args = append(e.Args, f.args...)
	}
	if frames, ok := f.values["frames"]; ok {
		tokens, err := fieldIDs(frames)
		if err != nil {
			return err
		}
		more, err := namedFrames(tokens)
		if err != nil {
			return err
		}
		e.Changes = append(e.Changes, more...)
	}
	return f.lists(e.Changes)
}

// fieldIDs reads #id,#id,… as tokens.
func fieldIDs(s string) (tokens []token, err error) {
	for s != "" {
		end := endOfID(s)
		t, n, err := scanToken(s[:end])
		if err != nil || n != end || len(tokens) == MaxChanges {
			return nil, badLine("the field frames is not a list of ids")
		}
		tokens = append(tokens, t)
		if s = s[end:]; s != "" {
			s = s[1:]
		}
	}
	return tokens, nil
}

// endOfID finds the comma after the first id of s, which may be quoted.
func endOfID(s string) int {
	if strings.HasPrefix(s, `#"`) {
		if _, n, err := unquote(s[1:]); err == nil {
			return n + 1
		}
	}
	if k := strings.IndexByte(s, ','); k > 0 {
		return k
	}
	return len(s)
}

// endOfIDs finds the space after a list of ids; -1 = it ends with s.
func endOfIDs(s string) int {
	at := 0
	for at < len(s) {
		if strings.HasPrefix(s[at:], `#"`) {
			if _, n, err := unquote(s[at+1:]); err == nil {
				at += n + 1
				continue
			}
		}
		if s[at] == ' ' {
			return at
		}
		at++
	}
	return -1
}
