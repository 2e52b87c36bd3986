package job

import (
	"cmp"
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// Entries returns the journal.
func (j *Job) Entries() ([]cull.Entry, error) {
	var entries []cull.Entry
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		entries, err = entriesOf(tx)
		return err
	})
	return entries, err
}

// Corrections returns those entries of the journal that are no answers: passes,
// letters, offsets, scene names and other corrections, with what takes them back.
// They are few.
func (j *Job) Corrections() ([]cull.Entry, error) {
	var entries []cull.Entry
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		entries, err = correctionsOf(tx)
		return err
	})
	return entries, err
}

// Decisions returns the standing decisions of a pass by the frames' present
// ids, those that were opened again included. A frame without one is open.
func (j *Job) Decisions(pass string) (map[cull.ID]cull.Decision, error) {
	decisions := map[cull.ID]cull.Decision{}
	if pass == "" {
		return decisions, nil
	}
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		decisions, err = decisionsOf(tx, pass)
		return err
	})
	return decisions, err
}

func decisionsOf(tx *catalog.Tx, pass string) (map[cull.ID]cull.Decision, error) {
	decisions := map[cull.ID]cull.Decision{}
	err := tx.State(pass).Each(func(id string, s catalog.State) error {
		decisions[cull.ID(id)] = fromState(s)
		return nil
	})
	return decisions, err
}

// TakenBack returns the frames that the pass keep dropped and that are wanted all the
// same: see cull.TakenBack.
func (j *Job) TakenBack() (map[cull.ID]bool, error) {
	var w Whole
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		w.Passes, w.Answers, err = answersOf(tx)
		return err
	})
	back := map[cull.ID]bool{}
	for id := range w.Answers[cull.KeepPass] {
		if w.TakenBack(id) {
			back[id] = true
		}
	}
	return back, err
}

// answersOf returns the passes in order of definition, and the answers in each.
func answersOf(tx *catalog.Tx) (passes []cull.Pass, answers map[string]map[cull.ID]cull.Decision, err error) {
	if passes, err = passesOf(tx); err != nil {
		return nil, nil, err
	}
	answers = map[string]map[cull.ID]cull.Decision{}
	for _, p := range passes {
		if answers[p.Name], err = decisionsOf(tx, p.Name); err != nil {
			return nil, nil, err
		}
	}
	return passes, answers, nil
}

// Passes returns the passes in order of definition; keep is the first.
func (j *Job) Passes() ([]cull.Pass, error) {
	var passes []cull.Pass
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		passes, err = passesOf(tx)
		return err
	})
	return passes, err
}

func passesOf(tx *catalog.Tx) ([]cull.Pass, error) {
	type numbered struct {
		seq  uint64
		pass cull.Pass
	}
	list := []numbered{{0, cull.Pass{Name: cull.KeepPass}}}
	err := tx.Passes().Each(func(name string, r catalog.Pass) error {
		p := cull.Pass{Name: name, Question: r.Question, Source: cull.Source{Of: r.SourceOf, Answer: cull.Answer(r.SourceAnswer)}}
		if name == cull.KeepPass {
			list[0].pass = p
			return nil
		}
		list = append(list, numbered{r.Seq + 1, p})
		return nil
	})
	slices.SortStableFunc(list, func(a, b numbered) int { return cmp.Compare(a.seq, b.seq) })
	passes := make([]cull.Pass, len(list))
	for i := range list {
		passes[i] = list[i].pass
	}
	return passes, err
}

// Session returns the deciding as it stands: the order of the job, the frames'
// names, and the whole journal replayed.
func (j *Job) Session() (*cull.Session, error) {
	var s *cull.Session
	err := j.db.View(func(tx *catalog.Tx) error {
		l, err := autoLayoutOf(tx)
		if err != nil {
			return err
		}
		names := map[cull.ID]string{}
		err = tx.EachFrameName(func(id, name string) error {
			names[cull.ID(id)] = name
			return nil
		})
		if err != nil {
			return err
		}
		aliases, err := aliasesOf(tx)
		if err != nil {
			return err
		}
		entries, err := entriesOf(tx)
		if err != nil {
			return err
		}
		s = replay(l, names, aliases, entries, nil)
		return nil
	})
	return s, err
}
