package cull

import "strings"

// This file reads the decide language, one command a line:
//
//	keep A/IMG_0001            drop, part, open alike: the pass keep
//	drop #0123ab #99fe01 "A/a name"
//	retouch yes A/IMG_0001     any other pass: yes, no, open
//	burst drop A/IMG_0001      the moment that holds the frame
//	only A/IMG_0001            keep it, drop the rest of its moment
//	merge A/IMG_0001           keep it as lead, the rest of its moment is part
//	retouch burst no …         burst and only in another pass
//	undo                       redo
//	pass retouch from keep yes "Which need retouching?"
//	scene A/IMG_0001 First dance
//	correct join #0123ab #99fe01        one moment; series: material for one picture
//	correct split #0123ab / #99fe01     two moments
//	correct out #0123ab                 a moment by itself
//	correct apart #0123ab #99fe01       no look-alikes
//	correct scene-begins #0123ab        and scene-goes-on
//	correct has "Rings" #0123ab         a picture that the job has to have
//	; a comment
//
// A name is a path without quotes up to the end of the line or " ;", an id
// (# and at least 6 of its digits) or a JSON string; a line that names several
// frames spells them in the last two ways. A line of the journal is a line of
// this language.

// Command is one line of the decide language, not yet held against a job. The
// zero Command is an empty line or a comment.
type Command struct {
	Verb   Verb
	Pass   string // for answer, burst, only and merge
	Answer Answer // for answer and burst
	Names  []Name
	Exact  bool     // burst, only and merge: Names are all the frames meant, as a journal line lists them; else the moment of the one
	Define Pass     // for pass
	Args   []string // for scene (its name), letter, offset and correct
	Entry  *Entry   // the journal entry, where the line is one
}

// Name is how a line names a frame.
type Name struct {
	Text string
	ByID bool // Text is an id or the beginning of one
}

// ParseLine reads one line, without its newline. An error is a *LineError and
// comes with the zero Command.
func ParseLine(line string) (Command, error) {
	s, err := newScanner(strings.TrimRight(line, "\r\n"))
	if err != nil {
		return Command{}, err
	}
	c, err := parseLine(s)
	if err != nil {
		return Command{}, err
	}
	if strings.Contains(" "+s.comment(), " seq=") {
		e, err := ParseEntry(s.line)
		if err != nil {
			return Command{}, err
		}
		c.Entry, c.Exact = &e, c.Verb == VerbBurst || c.Verb == VerbOnly || c.Verb == VerbMerge
	}
	return c, nil
}

func parseLine(s *scanner) (Command, error) {
	head, ok, err := s.next()
	if !ok {
		return Command{}, err
	}
	if head.kind == quotedToken && ValidPassName(head.text) || head.kind == plainToken && !isReserved(head.text) {
		return parseInPass(s, head.text)
	}
	if wasPassName(head.text) && head.kind != idToken {
		rest := *s
		if tokens, err := rest.all(); head.kind == quotedToken || err == nil && isOldPass(head, tokens) {
			return parseInPass(s, head.text)
		}
	}
	if head.kind != plainToken {
		return Command{}, badLine("a line begins with a verb or the name of a pass")
	}
	switch v := Verb(head.text); v {
	case VerbUndo, VerbRedo:
		return Command{Verb: v}, noMore(s)
	case VerbPass:
		return parsePass(s)
	case VerbScene:
		return parseScene(s)
	case VerbLetter, VerbOffset, VerbCorrect:
		c := Command{Verb: v}
		tokens, err := s.all()
		for _, t := range tokens {
			c.Args = append(c.Args, spelled(t))
		}
		if err == nil && len(c.Args) == 0 {
			err = badLine(head.text + " needs words after it")
		}
		return c, err
	}
	return parseAnswer(s, KeepPass, head)
}

// parseInPass reads what follows the name of a pass.
func parseInPass(s *scanner, pass string) (Command, error) {
	if !ValidPassName(pass) && !wasPassName(pass) {
		return Command{}, badLine("garner knows no verb and no pass named " + quote(pass))
	}
	head, ok, err := s.next()
	if err != nil {
		return Command{}, err
	}
	if !ok || head.kind != plainToken {
		return Command{}, badLine("after the pass " + quote(pass) + " comes yes, no, open, burst or only")
	}
	return parseAnswer(s, pass, head)
}

// parseAnswer reads an answer, burst or only and the frames it is about.
func parseAnswer(s *scanner, pass string, head token) (c Command, err error) {
	c = Command{Verb: VerbAnswer, Pass: pass}
	switch Verb(head.text) {
	case VerbBurst:
		c.Verb = VerbBurst
		if head, _, err = s.next(); err != nil {
			return c, err
		}
	case VerbOnly, VerbMerge:
		c.Verb = Verb(head.text)
	}
	if c.Verb != VerbOnly && c.Verb != VerbMerge {
		var ok bool
		if c.Answer, ok = ParseAnswer(head.text); !ok || head.kind != plainToken {
			return c, badLine("expected an answer such as keep, drop, yes, no or open, found " + quote(head.text))
		}
	}
	c.Names, err = parseNames(s)
	c.Exact = c.Verb != VerbAnswer && len(c.Names) > 1
	return c, err
}

func spelled(t token) string {
	if t.kind == idToken {
		return "#" + t.text
	}
	return t.text
}

func noMore(s *scanner) error {
	if t, ok, err := s.next(); ok || err != nil {
		return badLine("nothing may follow here, found " + quote(t.text))
	}
	return nil
}
