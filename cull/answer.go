package cull

// String gives the answer's word: open, yes, no or part.
func (a Answer) String() string {
	switch a {
	case Open:
		return "open"
	case Yes:
		return "yes"
	case No:
		return "no"
	case Part:
		return "part"
	}
	return "unknown"
}

// Word gives the answer's word in a pass: the pass keep says keep and drop
// where others say yes and no.
func (a Answer) Word(pass string) string {
	if pass == KeepPass {
		switch a {
		case Yes:
			return "keep"
		case No:
			return "drop"
		}
	}
	return a.String()
}

// ParseAnswer reads an answer's word, in either spelling.
func ParseAnswer(word string) (Answer, bool) {
	switch word {
	case "open":
		return Open, true
	case "yes", "keep":
		return Yes, true
	case "no", "drop":
		return No, true
	case "part":
		return Part, true
	}
	return Open, false
}

// ValidPassName reports whether name can name a pass: 1 to 40 lower-case ASCII
// letters, digits, - or _, a letter first, and no word of the decide language.
func ValidPassName(name string) bool {
	if name == KeepPass {
		return true
	}
	if name == "" || len(name) > 40 || isReserved(name) {
		return false
	}
	for i, c := range []byte(name) {
		letter := c >= 'a' && c <= 'z'
		if !letter && (i == 0 || !(c >= '0' && c <= '9' || c == '-' || c == '_')) {
			return false
		}
	}
	return true
}

// wasPassName reports a word that became one of the decide language after passes
// could have been named like that: nobody can name one so any more, but what was
// decided in it stands.
func wasPassName(name string) bool { return name == string(VerbMerge) }

func isReserved(word string) bool {
	if _, ok := ParseAnswer(word); ok {
		return true
	}
	switch Verb(word) {
	case VerbAnswer, VerbBurst, VerbOnly, VerbMerge, VerbUndo, VerbRedo, VerbPass, VerbLetter, VerbOffset, VerbScene, VerbCorrect:
		return true
	}
	return word == "from"
}
