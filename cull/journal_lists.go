package cull

import "strings"

// formatLists writes what happened to the frames.
func formatLists(b *strings.Builder, e Entry) {
	if len(e.Changes) == 0 {
		return
	}
	b.WriteString(" was=" + answerList(e.Changes, func(c Change) Answer { return c.Before }))
	if !impliedAnswers(e) {
		b.WriteString(" now=" + answerList(e.Changes, func(c Change) Answer { return c.After }))
	}
	b.WriteString(" shown=" + bitList(e.Changes, func(c Change) bool { return c.Shown }))
	b.WriteString(" explicit=" + bitList(e.Changes, func(c Change) bool { return c.Explicit }))
}

// impliedAnswers reports whether the command itself tells the answers after.
func impliedAnswers(e Entry) bool {
	for i, c := range e.Changes {
		if want, ok := impliedAnswer(e.Verb, commonAnswer(e), i); !ok || c.After != want {
			return false
		}
	}
	return true
}

// impliedAnswer is the answer that a command gives its i-th frame.
func impliedAnswer(v Verb, word Answer, i int) (a Answer, ok bool) {
	switch {
	case v == VerbAnswer || v == VerbBurst:
		return word, true
	case (v == VerbOnly || v == VerbMerge) && i == 0:
		return Yes, true
	case v == VerbOnly:
		return No, true
	case v == VerbMerge:
		return Part, true
	}
	return Open, false
}

func commonAnswer(e Entry) Answer {
	if len(e.Changes) == 0 {
		return Open
	}
	return e.Changes[0].After
}

func answerList(changes []Change, get func(Change) Answer) string {
	words := make([]string, len(changes))
	same := true
	for i, c := range changes {
		words[i] = get(c).String()
		same = same && words[i] == words[0]
	}
	if same {
		return words[0]
	}
	return strings.Join(words, ",")
}

func bitList(changes []Change, get func(Change) bool) string {
	bits := make([]byte, len(changes))
	same := true
	for i, c := range changes {
		bits[i] = '0'
		if get(c) {
			bits[i] = '1'
		}
		same = same && bits[i] == bits[0]
	}
	if same {
		bits = bits[:1]
	}
	return string(bits)
}

// lists reads was, now, shown and explicit into the changes.
func (f fields) lists(changes []Change) error {
	if len(changes) == 0 {
		return nil
	}
	if now, ok := f.values["now"]; ok {
		if !readAnswers(now, changes, func(c *Change, a Answer) { c.After = a }) {
			return badLine("the field now does not fit the frames")
		}
	}
	if !readAnswers(f.values["was"], changes, func(c *Change, a Answer) { c.Before = a }) {
		return badLine("the field was does not fit the frames")
	}
	if !readBits(f.values["shown"], changes, func(c *Change, on bool) { c.Shown = on }) {
		return badLine("the field shown does not fit the frames")
	}
	if !readBits(f.values["explicit"], changes, func(c *Change, on bool) { c.Explicit = on }) {
		return badLine("the field explicit does not fit the frames")
	}
	return nil
}

func readAnswers(s string, changes []Change, set func(*Change, Answer)) bool {
	many := strings.Contains(s, ",")
	for i := range changes {
		word, rest, more := s, s, i < len(changes)-1
		if many {
			var cut bool
			if word, rest, cut = strings.Cut(s, ","); cut != more {
				return false
			}
		}
		a, ok := ParseAnswer(word)
		if !ok {
			return false
		}
		set(&changes[i], a)
		s = rest
	}
	return true
}

func readBits(s string, changes []Change, set func(*Change, bool)) bool {
	if len(s) != 1 && len(s) != len(changes) || strings.Trim(s, "01") != "" {
		return false
	}
	for i := range changes {
		set(&changes[i], s[i%len(s)] == '1')
	}
	return true
}
