package job

import (
	"errors"
	"fmt"
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// Check holds the catalogue against itself, journal.txt against it, and the
// standing decisions against a replay of the journal. It changes nothing and
// returns what it found, in sentences.
func (j *Job) Check() ([]string, error) {
	problems, err := catalog.Check(j.db.Path())
	if err != nil {
		return nil, err
	}
	var found []string
	for _, p := range problems {
		found = append(found, p.Text)
	}
	if len(found) > 0 {
		return found, nil // what is damaged can't be compared
	}
	err = j.db.View(func(tx *catalog.Tx) error {
		// The text is read inside, so that no line is added in between.
		text, there, err := j.readText()
		if err != nil {
			return err
		}
		for _, check := range []func(*catalog.Tx) ([]string, error){
			func(tx *catalog.Tx) ([]string, error) { return compareText(tx, text, there) },
			compareState,
			comparePasses,
		} {
			more, err := check(tx)
			if err != nil {
				return err
			}
			found = append(found, more...)
		}
		return nil
	})
	if errors.Is(err, catalog.ErrDamaged) {
		return append(found, err.Error()), nil
	}
	return found, err
}

// compareText holds journal.txt against the journal of the catalogue.
func compareText(tx *catalog.Tx, text *journalText, there bool) (found []string, err error) {
	say := func(format string, args ...any) { found = append(found, fmt.Sprintf(format, args...)) }
	known := map[uint64]bool{}
	missing := 0
	err = tx.Journal().Each(func(key string, r catalog.Entry) error {
		seq := catalog.KeySeq(key)
		known[seq] = true
		switch line, ok := text.entries[seq]; {
		case !ok:
			missing++
		case line != r.Line:
			say("entry %d is not the same in journal.txt and in the catalogue", seq)
		}
		if e, err := cull.ParseEntry(r.Line); err != nil || e.Seq != seq {
			say("entry %d of the catalogue can't be read", seq)
		}
		return nil
	})
	if missing > 0 && there {
		say("journal.txt lacks %s of the catalogue", count(missing, "entry"))
	} else if missing > 0 {
		say("journal.txt is missing")
	}
	for _, seq := range text.numbers() {
		if !known[seq] {
			say("the catalogue lacks entry %d of journal.txt", seq)
		}
	}
	if text.torn {
		say("the last line of journal.txt is torn")
	}
	for _, f := range text.faults {
		say("line %d of journal.txt can't be used: %s", f.line, f.text)
	}
	return found, err
}

// compareState holds the standing decisions against a replay.
func compareState(tx *catalog.Tx) (found []string, err error) {
	entries, err := entriesOf(tx)
	if err != nil {
		return nil, err
	}
	aliases, err := aliasesOf(tx)
	if err != nil {
		return nil, err
	}
	s := replay(cull.Layout{}, nil, aliases, entries, nil)
	names := tx.StatePasses()
	for _, p := range s.Passes() {
		if !slices.Contains(names, p.Name) {
			names = append(names, p.Name)
		}
	}
	for _, name := range names {
		want := s.Decisions(name)
		if want == nil {
			want = map[cull.ID]cull.Decision{}
		}
		err := tx.State(name).Each(func(id string, r catalog.State) error {
			d, ok := want[cull.ID(id)]
			if got := fromState(r); !ok || !sameDecision(got, d) {
				found = append(found, fmt.Sprintf("frame %s stands in the pass %s as %s, the journal says %s", id, name, got.Answer, d.Answer))
			}
			delete(want, cull.ID(id))
			return nil
		})
		if err != nil {
			return found, err
		}
		for id, d := range want {
			found = append(found, fmt.Sprintf("frame %s has no decision in the pass %s, the journal says %s", id, name, d.Answer))
		}
	}
	return found, nil
}

func sameDecision(a, b cull.Decision) bool {
	return a.At.Equal(b.At) && a.Answer == b.Answer && a.Who == b.Who && a.Shown == b.Shown && a.Explicit == b.Explicit && a.Seq == b.Seq
}

// comparePasses holds the stored passes against a replay.
func comparePasses(tx *catalog.Tx) ([]string, error) {
	stored, err := passesOf(tx)
	if err != nil {
		return nil, err
	}
	entries, err := entriesOf(tx)
	if err != nil {
		return nil, err
	}
	if want := replay(cull.Layout{}, nil, nil, entries, nil).Passes(); !slices.Equal(stored, want) {
		return []string{fmt.Sprintf("the passes are stored as %v, the journal says %v", stored, want)}, nil
	}
	return nil, nil
}
