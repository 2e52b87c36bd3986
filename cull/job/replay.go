package job

import (
	"fmt"
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// entriesOf reads the journal of the catalogue.
func entriesOf(tx *catalog.Tx) ([]cull.Entry, error) {
	var entries []cull.Entry
	err := tx.Journal().Each(func(key string, r catalog.Entry) error {
		e, err := cull.ParseEntry(r.Line)
		if err != nil {
			return fmt.Errorf("journal entry %d: %w", catalog.KeySeq(key), err)
		}
		entries = append(entries, e)
		return nil
	})
	return entries, err
}

// replay begins a session with the frames' present ids and commits entries in
// their order. Entries that make no sense are passed over, as in every replay: a line
// of a later version, or one that names a pass that was lost.
func replay(l cull.Layout, names map[cull.ID]string, aliases map[cull.ID]cull.ID, entries []cull.Entry, each func(*cull.Session, cull.Entry)) *cull.Session {
	s := cull.NewSession(l, names)
	s.SetAliases(aliases)
	var see func(cull.Entry)
	if each != nil {
		see = func(e cull.Entry) { each(s, e) }
	}
	s.Replay(entries, see)
	return s
}

// rebuild makes all that follows from the journal anew: the standing answers,
// what each entry replaced, the passes, the corrections.
func rebuild(tx *catalog.Tx) error {
	entries, err := entriesOf(tx)
	if err != nil {
		return err
	}
	aliases, err := aliasesOf(tx)
	if err != nil {
		return err
	}
	if err := tx.ClearState(); err != nil {
		return err
	}
	replaced := map[uint64][]catalog.State{}
	s := replay(cull.Layout{}, nil, aliases, entries, func(s *cull.Session, e cull.Entry) {
		switch e.Verb {
		case cull.VerbAnswer, cull.VerbBurst, cull.VerbOnly, cull.VerbMerge:
			for _, c := range e.Changes {
				replaced[e.Seq] = append(replaced[e.Seq], toState(s.Decision(e.Pass, c.Frame)))
			}
		}
	})
	for _, e := range entries {
		key := catalog.SeqKey(e.Seq)
		r, _, err := tx.Journal().Get(key)
		if err != nil {
			return err
		}
		r.Replaced = replaced[e.Seq]
		if err := tx.Journal().Put(key, r); err != nil {
			return err
		}
		if isCorrection(e) {
			if err := tx.Corrections().Put(key, r.Line); err != nil {
				return err
			}
		}
	}
	for _, p := range s.Passes() {
		for id, d := range s.Decisions(p.Name) {
			if err := putState(tx, p.Name, string(id), toState(d)); err != nil {
				return err
			}
		}
	}
	if err := heedFaces(tx); err != nil {
		return err
	}
	return savePasses(tx, s.Passes())
}

// isCorrection reports whether an entry is none of answering, so that it is
// also kept among the corrections. What takes a correction back, or does it again,
// changes no frame.
func isCorrection(e cull.Entry) bool {
	switch e.Verb {
	case cull.VerbUndo, cull.VerbRedo:
		return len(e.Changes) == 0
	case cull.VerbPass, cull.VerbLetter, cull.VerbOffset, cull.VerbScene, cull.VerbCorrect:
		return true
	}
	return false
}

// correctionsOf reads the entries that are no answers.
func correctionsOf(tx *catalog.Tx) ([]cull.Entry, error) {
	var entries []cull.Entry
	err := tx.Corrections().Each(func(key, line string) error {
		e, err := cull.ParseEntry(line)
		if err != nil {
			return fmt.Errorf("journal entry %d: %w", catalog.KeySeq(key), err)
		}
		entries = append(entries, e)
		return nil
	})
	return entries, err
}

// savePasses stores the passes; Seq keeps their order.
func savePasses(tx *catalog.Tx, passes []cull.Pass) error {
	for i, p := range passes {
		r := catalog.Pass{Question: p.Question, SourceOf: p.Source.Of, SourceAnswer: uint8(p.Source.Answer), Seq: uint64(i)}
		if err := tx.Passes().Put(p.Name, r); err != nil {
			return err
		}
	}
	return nil
}

// knowPasses brings the stored passes up to date after new entries: those that
// define one, and answers in a pass whose own line was lost.
func knowPasses(tx *catalog.Tx, entries []cull.Entry) error {
	known, err := passesOf(tx)
	if err != nil {
		return err
	}
	defined := false
	for _, e := range entries {
		switch {
		case e.Verb == cull.VerbPass:
			defined = true
		case e.Pass != "" && !slices.ContainsFunc(known, func(p cull.Pass) bool { return p.Name == e.Pass }):
			known = append(known, cull.Pass{Name: e.Pass})
			if err := savePasses(tx, known); err != nil {
				return err
			}
		}
	}
	if !defined {
		return nil
	}
	// What a definition means, and whether it may stand, is the session's to say.
	all, err := correctionsOf(tx)
	if err != nil {
		return err
	}
	passes := replay(cull.Layout{}, nil, nil, all, nil).Passes()
	for _, p := range known { // those without a line of their own
		if !slices.ContainsFunc(passes, func(q cull.Pass) bool { return p.Name == q.Name }) {
			passes = append(passes, p)
		}
	}
	return savePasses(tx, passes)
}
