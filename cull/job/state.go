package job

import (
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// apply writes what an entry says of its frames into the standing answers, and
// returns what it replaced. It does what cull.Session.Commit does, one entry at
// a time; Check holds the two against each other.
func apply(tx *catalog.Tx, e cull.Entry) ([]catalog.State, error) {
	switch e.Verb {
	case cull.VerbAnswer, cull.VerbBurst, cull.VerbOnly, cull.VerbMerge:
		return answer(tx, e)
	case cull.VerbUndo, cull.VerbRedo:
		restored, err := restore(tx, e)
		if restored || err != nil {
			return nil, err
		}
		// The entry meant was lost; what this one says of the frames is left.
		_, err = answer(tx, e)
		return nil, err
	}
	return nil, nil
}

func answer(tx *catalog.Tx, e cull.Entry) ([]catalog.State, error) {
	var replaced []catalog.State
	for _, c := range e.Changes {
		id, err := present(tx, c.Frame)
		if err != nil {
			return nil, err
		}
		old, _, err := tx.State(e.Pass).Get(id)
		if err != nil {
			return nil, err
		}
		replaced = append(replaced, old)
		d := cull.Decision{Answer: c.After, Who: e.Who, At: e.At, Shown: c.Shown, Explicit: c.Explicit, Seq: e.Seq}
		if err := putState(tx, e.Pass, id, toState(d)); err != nil {
			return nil, err
		}
	}
	return replaced, nil
}

// restore puts back what stood before or after the entry e.Of.
func restore(tx *catalog.Tx, e cull.Entry) (bool, error) {
	meant, ok, err := tx.Journal().Get(catalog.SeqKey(e.Of))
	if err != nil || !ok {
		return false, err
	}
	of, err := cull.ParseEntry(meant.Line)
	if err != nil {
		return false, err
	}
	if len(meant.Replaced) != len(of.Changes) || len(of.Changes) == 0 {
		return false, nil
	}
	if e.Verb == cull.VerbRedo {
		_, err := answer(tx, of)
		return true, err
	}
	for i, c := range slices.Backward(of.Changes) { // should a frame stand twice in one entry
		id, err := present(tx, c.Frame)
		if err != nil {
			return false, err
		}
		if err := putState(tx, of.Pass, id, meant.Replaced[i]); err != nil {
			return false, err
		}
	}
	return true, nil
}

// putState stores an answer; the zero one, which is what stood before anybody
// decided, is stored as nothing.
func putState(tx *catalog.Tx, pass, id string, s catalog.State) error {
	if s == (catalog.State{}) {
		return tx.State(pass).Delete(id)
	}
	return tx.State(pass).Put(id, s)
}

// present gives the id under which a frame is known now.
func present(tx *catalog.Tx, id cull.ID) (string, error) {
	now, ok, err := tx.Aliases().Get(string(id))
	if err != nil || !ok {
		return string(id), err
	}
	return now, nil
}
