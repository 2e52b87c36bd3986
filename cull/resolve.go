package cull

import (
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"
)

// nameIndex finds frames by name, by the last part of a name and by the
// beginning of an id. What it takes to find them is made when the first is looked
// for: a program with a screen never does.
type nameIndex struct {
	byID   map[ID]string
	byName map[string][]ID // nil = not made yet, as what follows
	byBase map[string][]ID
	sorted []ID
}

// SetNames gives the frames' names anew.
func (s *Session) SetNames(names map[ID]string) {
	s.names = nameIndex{byID: maps.Clone(names)}
	s.version++
}

// index makes what it takes to find frames.
func (x *nameIndex) index() {
	if x.byName != nil {
		return
	}
	x.byName, x.byBase = make(map[string][]ID, len(x.byID)), make(map[string][]ID, len(x.byID))
	for id, name := range x.byID {
		x.byName[name] = append(x.byName[name], id)
		x.byBase[path.Base(name)] = append(x.byBase[path.Base(name)], id)
		x.sorted = append(x.sorted, id)
	}
	slices.Sort(x.sorted)
}

// Name returns a frame's name; "" if it has none.
func (s *Session) Name(id ID) string { return s.names.byID[s.canon(id)] }

// label names a frame in a message, without anything that acts on a terminal.
func (s *Session) label(id ID) string {
	if name := s.Name(id); name != "" {
		return quote(name)
	}
	return formatID(id)
}

// Resolve finds the frame that a line of decide names: by its name, with or
// without the extension, by the last part of it where no other frame has the
// same, by its id or by a beginning of the id that fits no other frame.
func (s *Session) Resolve(n Name) (ID, error) {
	if n.ByID {
		return s.resolveID(n.Text)
	}
	s.names.index()
	trimmed := strings.TrimSuffix(n.Text, path.Ext(n.Text))
	for _, fit := range [][]ID{s.names.byName[n.Text], s.names.byName[trimmed], s.names.byBase[n.Text], s.names.byBase[trimmed]} {
		if len(fit) > 1 {
			return "", fmt.Errorf("%w: %d frames are named %s", ErrAmbiguous, len(fit), quote(n.Text))
		}
		if len(fit) == 1 {
			return fit[0], nil
		}
	}
	return "", fmt.Errorf("%w: nothing is named %s", ErrUnknownFrame, quote(n.Text))
}

func (s *Session) resolveID(text string) (ID, error) {
	s.names.index()
	found := map[ID]bool{}
	i, _ := slices.BinarySearch(s.names.sorted, ID(text))
	for ; i < len(s.names.sorted) && strings.HasPrefix(string(s.names.sorted[i]), text); i++ {
		found[s.canon(s.names.sorted[i])] = true
	}
	for former, id := range s.alias {
		if strings.HasPrefix(string(former), text) {
			found[id] = true
		}
	}
	if len(found) > 1 {
		return "", fmt.Errorf("%w: %d ids begin with #%s", ErrAmbiguous, len(found), text)
	}
	for id := range found {
		return id, nil
	}
	return "", fmt.Errorf("%w: no id begins with #%s", ErrUnknownFrame, text)
}

// Action turns a line into an action on this job's frames, as a program
// without a screen does it: with nothing shown. The line of a journal entry
// says of each frame whether it had been shown. The zero Command gives nil.
func (s *Session) Action(c Command) (Action, error) {
	ids := make([]ID, len(c.Names))
	for i, n := range c.Names {
		var err error
		if ids[i], err = s.Resolve(n); err != nil {
			return nil, err
		}
	}
	shown := map[ID]bool{}
	if c.Entry != nil {
		for _, ch := range c.Entry.Changes {
			shown[s.canon(ch.Frame)] = ch.Shown
		}
	}
	var exact []ID
	if c.Exact {
		exact = ids
	}
	switch c.Verb {
	case "":
		return nil, nil
	case VerbUndo:
		return Undo{}, nil
	case VerbRedo:
		return Redo{}, nil
	case VerbPass:
		return DefinePass{c.Define}, nil
	case VerbCorrect:
		return s.correctAction(c)
	case VerbLetter, VerbOffset:
		return Record{c.Verb, c.Args}, nil
	}
	if len(ids) == 0 || c.Verb == VerbScene && len(c.Args) != 1 {
		return nil, fmt.Errorf("%w: the line names no frame", ErrBadAction)
	}
	switch c.Verb {
	case VerbAnswer:
		return Decide{Pass: c.Pass, Frames: ids, Answer: c.Answer, Shown: allShown(shown, ids)}, nil
	case VerbBurst:
		return DecideBurst{Pass: c.Pass, Frame: ids[0], Exact: exact, Answer: c.Answer, Shown: shown}, nil
	case VerbOnly:
		return Only{Pass: c.Pass, Frame: ids[0], Exact: exact, Shown: shown}, nil
	case VerbMerge:
		return Merge{Pass: c.Pass, Frame: ids[0], Exact: exact, Shown: shown}, nil
	case VerbScene:
		return NameScene{Frame: ids[0], Name: c.Args[0]}, nil
	}
	return nil, fmt.Errorf("%w: unknown verb %s", ErrBadAction, quote(string(c.Verb)))
}

// correctAction finds the frames that a correction of the groups names, by #id or
// by a name in one word; any other correction is a record.
func (s *Session) correctAction(c Command) (Action, error) {
	has := len(c.Args) > 1 && (c.Args[0] == CorrectHas || c.Args[0] == CorrectFinished)
	if len(c.Args) == 0 || !has && !CorrectionKind(c.Args[0]).groups() {
		return Record{c.Verb, c.Args}, nil
	}
	args := []string{c.Args[0]}
	if has {
		args = c.Args[:2:2]
		if c.Args[0] == CorrectFinished && len(c.Args) == 3 && c.Args[2] == CorrectNone {
			return Record{c.Verb, c.Args}, nil
		}
	}
	for _, a := range c.Args[len(args):] {
		if a == splitMark {
			args = append(args, a)
			continue
		}
		text, byID := strings.CutPrefix(a, "#")
		id, err := s.Resolve(Name{Text: text, ByID: byID})
		if err != nil {
			return nil, err
		}
		args = append(args, "#"+string(id))
	}
	if has {
		return Record{c.Verb, args}, nil
	}
	correction, ok := correctionOf(args)
	if !ok {
		return nil, fmt.Errorf("%w: correct %s names frames by one word or by #id, split two lists of them with / between", ErrBadAction, c.Args[0])
	}
	return Correct{correction}, nil
}

func allShown(shown map[ID]bool, ids []ID) bool {
	return !slices.ContainsFunc(ids, func(id ID) bool { return !shown[id] })
}
