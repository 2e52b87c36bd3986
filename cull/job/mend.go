package job

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"

	"garner/store/catalog"
)

// metaJournalSize is the size that journal.txt has when no line is missing.
const metaJournalSize = "journal_size"

// mend brings catalogue and journal to agree, see the package comment.
func (j *Job) mend() error {
	rep, err := j.db.Repair()
	if err != nil {
		return err
	}
	anew := rep.Made || rep.Damage != nil
	if !anew {
		agree := false
		err := j.db.View(func(tx *catalog.Tx) error {
			size, known, err := tx.Meta().Get(metaJournalSize)
			agree = known && fileSize(j.journalPath()) == size
			return err
		})
		if err != nil || agree {
			return err
		}
	}
	return j.reconcileAs(rep)
}

// reconcile takes in what journal.txt has and the catalogue lacks, and adds to
// journal.txt what it lacks.
func (j *Job) reconcile() error { return j.reconcileAs(catalog.Repaired{}) }

func (j *Job) reconcileAs(rep catalog.Repaired) error {
	var m merge
	err := j.db.UpdateThen(func(tx *catalog.Tx) error {
		text, there, err := j.readText()
		if err != nil {
			return err
		}
		m = merge{text: text, there: there}
		if err := m.run(tx); err != nil {
			return err
		}
		if rep.Made || rep.Damage != nil || m.taken > 0 {
			if err := rebuild(tx); err != nil {
				return err
			}
		}
		if rep.Damage != nil {
			if err := mendReferences(tx); err != nil {
				return err
			}
		}
		return tx.Meta().Put(metaJournalSize, m.size())
	}, func() error { return m.write(j.journalPath()) })
	if err == nil {
		j.mu.Lock()
		j.recovered = append(j.recovered, m.say(rep)...)
		j.mu.Unlock()
	}
	return err
}

func (j *Job) readText() (text *journalText, there bool, err error) {
	f, err := os.Open(j.journalPath())
	if errors.Is(err, fs.ErrNotExist) {
		text, err = readJournal(eof{})
		return text, false, err
	}
	if err != nil {
		return nil, false, fmt.Errorf("journal: %w", err)
	}
	defer f.Close()
	text, err = readJournal(f)
	return text, true, err
}

// eof is an empty file.
type eof struct{}

func (eof) Read([]byte) (int, error) { return 0, io.EOF }

// merge joins the journal of the catalogue with its text.
type merge struct {
	text  *journalText
	there bool // journal.txt exists

	taken   int    // entries that only the text had
	differ  int    // entries that the two have differently
	lines   []byte // what the text lacks
	missing int
}

func (m *merge) run(tx *catalog.Tx) error {
	journal := tx.Journal()
	for _, seq := range m.text.numbers() {
		r, ok, err := journal.Get(catalog.SeqKey(seq))
		if err != nil {
			return err
		}
		line := m.text.entries[seq]
		switch {
		case !ok:
			m.taken++
			if err := tx.Journal().Put(catalog.SeqKey(seq), catalog.Entry{Line: line}); err != nil {
				return err
			}
		case r.Line != line:
			m.differ++
		}
	}
	return tx.Journal().Each(func(key string, r catalog.Entry) error {
		if _, ok := m.text.entries[catalog.KeySeq(key)]; !ok {
			m.lines = append(append(m.lines, r.Line...), '\n')
			m.missing++
		}
		return nil
	})
}

// tail is what has to be added to the whole lines of the text.
func (m *merge) tail() []byte {
	if m.text.open {
		return append([]byte{'\n'}, m.lines...)
	}
	return m.lines
}

func (m *merge) size() int64 { return m.text.good + int64(len(m.tail())) }

func (m *merge) write(path string) error {
	tail := m.tail()
	if !m.there {
		if len(tail) == 0 {
			return nil
		}
		return replaceFile(path, func(w io.Writer) error {
			_, err := w.Write(tail)
			return err
		})
	}
	if len(tail) == 0 && !m.text.torn {
		return nil
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err == nil {
		err = f.Truncate(m.text.good)
		if err == nil {
			_, err = f.WriteAt(tail, m.text.good)
		}
		if err == nil {
			err = f.Sync()
		}
		if cerr := f.Close(); err == nil {
			err = cerr
		}
	}
	if err != nil {
		return fmt.Errorf("journal: %w", err)
	}
	return nil
}

// maxSaid bounds how many damaged lines are listed one by one.
const maxSaid = 5

// say tells people what was mended.
func (m *merge) say(rep catalog.Repaired) (out []string) {
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	switch {
	case rep.Damage != nil:
		say("the catalogue was damaged and is set aside as %s (%v); %s of it could still be read, %s came back from the journal",
			rep.SetAside, rep.Damage, count(rep.Saved, "record"), count(len(m.text.entries), "entry"))
	case rep.Made && m.taken > 0:
		say("the catalogue was missing; %s came back from the journal", count(m.taken, "entry"))
	case m.taken > 0:
		say("the catalogue lacked %s of journal.txt, taken in now", count(m.taken, "entry"))
	}
	if m.missing > 0 && m.there && rep.Damage == nil {
		say("journal.txt lacked %s; added from the catalogue", count(m.missing, "line"))
	}
	if m.missing > 0 && !m.there {
		say("journal.txt was missing and is written anew from the catalogue")
	}
	if m.text.torn {
		say("the last line of journal.txt was torn; it is left out")
	}
	if m.differ > 0 {
		say("journal.txt and the catalogue disagree on %s; the catalogue stands", count(m.differ, "entry"))
	}
	for i, f := range m.text.faults {
		if i == maxSaid {
			say("%s more of journal.txt passed over", count(len(m.text.faults)-i, "line"))
			break
		}
		say("line %d of journal.txt is passed over: %s", f.line, f.text)
	}
	return out
}

// mendReferences brings paths and order to agree with the frames that could be
// saved from a damaged catalogue. What happened since the order was made may be lost.
func mendReferences(tx *catalog.Tx) error {
	if err := tx.Meta().Put(metaGrouped, 0); err != nil {
		return err
	}
	frames := map[string]bool{}
	paths := map[string]catalog.Path{}
	err := tx.Frames().Each(func(id string, f catalog.Frame) error {
		frames[id] = true
		for _, x := range f.Files {
			paths[x.Path] = catalog.Path{Frame: id, Size: x.Size, Mod: x.Mod, Head: x.Head}
		}
		return nil
	})
	if err != nil {
		return err
	}
	var stray []string
	err = tx.Paths().Each(func(path string, p catalog.Path) error {
		if paths[path].Frame != p.Frame {
			stray = append(stray, path)
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, path := range stray {
		if err := tx.Paths().Delete(path); err != nil {
			return err
		}
	}
	for path, p := range paths {
		if err := tx.Paths().Put(path, p); err != nil {
			return err
		}
	}
	layout, err := tx.Layout().Get()
	if err != nil {
		return err
	}
	layout.Places = slices.DeleteFunc(layout.Places, func(p catalog.Place) bool { return !frames[p.Frame] })
	return tx.Layout().Put(layout)
}
