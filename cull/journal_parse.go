package cull

import "strings"

// ParseEntry reads one journal line without its newline and undoes
// FormatEntry. On any fault it returns a *LineError and the zero entry; a line
// torn by a crash has lost its checksum and comes back with Damaged set. (A
// torn line also lacks its newline, which only the reader of the file sees.)
func ParseEntry(line string) (Entry, error) {
	if len(line) > MaxLine {
		return Entry{}, &LineError{Reason: "the journal line is too long", Damaged: true}
	}
	cut := len(line) - len(sumField) - 8
	if cut < 0 || !strings.HasPrefix(line[cut:], sumField) {
		return Entry{}, &LineError{Reason: "the journal line has no checksum", Damaged: true}
	}
	if line[cut+len(sumField):] != lineSum(line[:cut]) {
		return Entry{}, &LineError{Reason: "the journal line does not fit its checksum", Damaged: true}
	}
	s, err := newScanner(line[:cut])
	if err != nil {
		return Entry{}, err
	}
	tokens, err := s.all()
	if err != nil {
		return Entry{}, err
	}
	e, err := parseCommand(tokens)
	if err != nil {
		return Entry{}, err
	}
	f, err := parseFields(s.comment())
	if err != nil {
		return Entry{}, err
	}
	if err := f.apply(&e); err != nil {
		return Entry{}, err
	}
	return e, nil
}

// parseCommand reads the decide part of a journal line: verb, pass, the named
// frames with the answer that the words give them, arguments.
func parseCommand(tokens []token) (e Entry, err error) {
	var word Answer
	next := func() (t token) {
		if len(tokens) > 0 {
			t, tokens = tokens[0], tokens[1:]
		}
		return t
	}
	head := next()
	if head.kind == quotedToken || head.kind == plainToken && head.text != "" && (!isReserved(head.text) || isOldPass(head, tokens)) {
		e.Pass = head.text
		head = next()
	}
	if head.kind != plainToken {
		return Entry{}, badLine("the journal line begins with no verb")
	}
	e.Verb = Verb(head.text)
	switch e.Verb {
	case VerbPass, VerbLetter, VerbOffset, VerbScene, VerbCorrect:
		for _, t := range tokens {
			if t.kind == idToken {
				t.text = "#" + t.text
			}
			e.Args = append(e.Args, t.text)
		}
		return e, nil
	case VerbUndo, VerbRedo:
		if len(tokens) > 0 {
			return Entry{}, badLine("undo and redo take no words")
		}
		return e, nil
	case VerbBurst:
		head = next()
	case VerbOnly, VerbMerge:
		word = Yes
	default:
		e.Verb = VerbAnswer
	}
	if e.Verb != VerbOnly && e.Verb != VerbMerge {
		var ok bool
		if word, ok = ParseAnswer(head.text); !ok || head.kind != plainToken {
			return Entry{}, badLine("the journal line has no answer")
		}
	}
	e.Changes, err = namedFrames(tokens)
	for i := range e.Changes {
		e.Changes[i].After, _ = impliedAnswer(e.Verb, word, i)
	}
	return e, err
}

// isOldPass reports whether a line begins with the name of a pass that is a word of
// the language by now: an answer, burst or only follows it.
func isOldPass(head token, rest []token) bool {
	if !wasPassName(head.text) || len(rest) == 0 || rest[0].kind != plainToken {
		return false
	}
	word := rest[0].text
	return isAnswerWord(word) || word == string(VerbBurst) || word == string(VerbOnly)
}

func namedFrames(tokens []token) ([]Change, error) {
	if len(tokens) > MaxChanges {
		return nil, badLine("the journal line names too many frames")
	}
	var changes []Change
	for _, t := range tokens {
		if t.kind != idToken {
			return nil, badLine("a journal line names frames by their ids")
		}
		changes = append(changes, Change{Frame: ID(t.text)})
	}
	return changes, nil
}
