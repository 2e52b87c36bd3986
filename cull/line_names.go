package cull

// parseNames reads one unquoted name, or ids and quoted names.
func parseNames(s *scanner) (names []Name, err error) {
	for {
		from := s.at
		t, ok, err := s.next()
		switch {
		case err != nil:
			return nil, err
		case !ok && len(names) == 0:
			return nil, badLine("the line names no frame")
		case !ok:
			return names, nil
		case len(names) == MaxChanges:
			return nil, badLine("the line names too many frames")
		case t.kind == plainToken && len(names) > 0:
			return nil, badLine("where a line names several frames, each is an id or a quoted name")
		case t.kind == plainToken:
			s.at = from
			return []Name{{Text: s.text()}}, nil
		}
		names = append(names, Name{Text: t.text, ByID: t.kind == idToken})
	}
}

// parsePass reads NAME [from PASS ANSWER] ["question"].
func parsePass(s *scanner) (Command, error) {
	c := Command{Verb: VerbPass}
	t, ok, err := s.next()
	if err != nil {
		return c, err
	}
	if !ok || !ValidPassName(t.text) || t.kind == idToken {
		return c, badLine("a pass is named by up to 40 lower-case letters, digits, - and _, and by no word of this language")
	}
	c.Define.Name = t.text
	if t, end, ok, err := s.peek(); err == nil && ok && t.kind == plainToken && t.text == "from" {
		s.at = end
		if c.Define.Source, err = parseSource(s); err != nil {
			return c, err
		}
	}
	t, ok, err = s.next()
	if err != nil || !ok {
		return c, err
	}
	if t.kind != quotedToken {
		return c, badLine("the question of a pass stands in quotes, found " + quote(t.text))
	}
	c.Define.Question = t.text
	return c, noMore(s)
}

func parseSource(s *scanner) (Source, error) {
	of, _, err := s.next()
	if err != nil {
		return Source{}, err
	}
	word, ok, err := s.next()
	if err != nil {
		return Source{}, err
	}
	a, known := ParseAnswer(word.text)
	if !ok || !known || !ValidPassName(of.text) || of.kind == idToken {
		return Source{}, badLine("after from comes a pass and one of its answers, such as keep yes")
	}
	return Source{Of: of.text, Answer: a}, nil
}

// parseScene reads a frame of the scene in one word and the scene's new name.
func parseScene(s *scanner) (Command, error) {
	t, ok, err := s.next()
	if err != nil {
		return Command{}, err
	}
	name, end, more, err := s.peek()
	if err != nil {
		return Command{}, err
	}
	if !ok || !more {
		return Command{}, badLine("scene needs a frame of the scene and the scene's name")
	}
	c := Command{Verb: VerbScene, Names: []Name{{Text: t.text, ByID: t.kind == idToken}}}
	if name.kind == quotedToken {
		s.at = end
		c.Args = []string{name.text}
		return c, noMore(s)
	}
	c.Args = []string{s.text()}
	return c, nil
}

// Spell writes a frame's name for a line of decide: as it is where that reads
// back the same, else in quotes.
func Spell(name string) string {
	if name == "" || name[0] == '#' {
		return quote(name)
	}
	return bare(name)
}
