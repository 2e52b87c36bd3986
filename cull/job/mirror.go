package job

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"garner/store/catalog"
	"garner/store/vfs"
)

// CopyJournal writes the journal as text to dest, replacing what is there: dest
// is the old copy or the new one, whole. It is taken from the catalogue, so a
// damaged journal.txt does not spread.
func (j *Job) CopyJournal(dest string) error {
	text, _, err := j.journalText()
	if err != nil {
		return err
	}
	return copyJournal(dest, text)
}

// JournalText returns the journal as text, from the catalogue.
func (j *Job) JournalText() ([]byte, error) {
	text, _, err := j.journalText()
	return text, err
}

// journalText is the journal as text, and the number of its last entry.
func (j *Job) journalText() (text []byte, last uint64, err error) {
	err = j.db.View(func(tx *catalog.Tx) (err error) {
		text, last, err = journalOf(tx)
		return err
	})
	return text, last, err
}

func journalOf(tx *catalog.Tx) (text []byte, last uint64, err error) {
	err = tx.Journal().Each(func(key string, r catalog.Entry) error {
		text = append(append(text, r.Line...), '\n')
		last = catalog.KeySeq(key)
		return nil
	})
	return text, last, err
}

func copyJournal(dest string, text []byte) error {
	err := replaceFile(dest, func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
	if err != nil {
		return fmt.Errorf("copy of the journal: %w", err)
	}
	return nil
}

// mirrored is a copy of the journal as it was left.
type mirrored struct {
	last uint64 // number of the last entry in it
	size int64
	mod  time.Time
}

// CopyJournals brings the journal to every folder of [Job.Also] that is
// reachable, as DIR/.garner/journal.txt, and returns what went wrong. A journal
// there that holds what ours does not is never replaced: it may be the only copy
// of what was decided in a job that was lost since, or belong to a job of its
// own; see [ForeignJournalError].
func (j *Job) CopyJournals(ctx context.Context) []error {
	if j.o.ReadOnly {
		return []error{errReadOnly}
	}
	dirs, err := j.Also()
	if err != nil {
		return []error{err}
	}
	var errs []error
	var text []byte
	var last uint64
	for _, dir := range dirs {
		if ctx.Err() != nil {
			break
		}
		if !Reachable(dir) || j.upToDate(dir) {
			continue
		}
		if text == nil {
			if text, last, err = j.journalText(); err != nil {
				return append(errs, err)
			}
		}
		err := j.bring(dir, text)
		if err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", showPath(dir), err))
		}
		var foreign *ForeignJournalError
		if info, serr := os.Stat(copyPath(dir)); serr == nil && (err == nil || errors.As(err, &foreign) && foreign.Aside != "") {
			j.mu.Lock()
			if j.mirrors == nil {
				j.mirrors = map[string]mirrored{}
			}
			j.mirrors[dir] = mirrored{last, info.Size(), info.ModTime()}
			j.mu.Unlock()
		}
	}
	return errs
}

func copyPath(dir string) string { return filepath.Join(dir, stateName, journalName) }

// upToDate reports that nothing has happened since the last copy to a folder, here
// or there.
func (j *Job) upToDate(dir string) bool {
	j.mu.Lock()
	m, ok := j.mirrors[dir]
	j.mu.Unlock()
	if !ok {
		return false
	}
	info, err := os.Stat(copyPath(dir))
	if err != nil || info.Size() != m.size || !info.ModTime().Equal(m.mod) {
		return false
	}
	same := false
	err = j.db.View(func(tx *catalog.Tx) error {
		same = catalog.KeySeq(tx.Journal().Last()) == m.last
		return nil
	})
	return err == nil && same
}

// ForeignJournalError says that a folder that the journal is copied to has a
// journal with entries that ours lacks.
type ForeignJournalError struct {
	Path    string // of that journal, as it is named now
	Entries int    // that ours lacks
	Aside   string // the new name of that journal; "" = it was left, and ours was not copied
}

func (e *ForeignJournalError) Error() string {
	if e.Aside == "" {
		return fmt.Sprintf("the folder is decided on as a job of its own (%s that this job lacks): its journal is left as it is, and this job's is not copied there",
			count(e.Entries, "entry"))
	}
	return fmt.Sprintf("it had a journal with %s that this job lacks, kept there as %s (garner decide JOB < that file takes them over)",
		count(e.Entries, "entry"), e.Aside)
}

// maxMirror bounds what is read of a journal elsewhere, in bytes: a million entries.
const maxMirror = 256 << 20

// bring writes the journal into one folder.
func (j *Job) bring(dir string, text []byte) error {
	dest := copyPath(dir)
	old, err := readUpTo(dest, maxMirror+1)
	if err == nil && len(old) > maxMirror {
		err = errors.New("what is there is too large to be a journal")
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return copyJournal(dest, text)
	case err != nil:
		return fmt.Errorf("copy of the journal: %w", err)
	case bytes.Equal(old, text):
		return nil
	case bytes.HasPrefix(text, old): // the journal only grows
		return copyJournal(dest, text)
	}
	foreign, err := lacking(text, old)
	if err != nil {
		return err
	}
	if foreign == 0 {
		return copyJournal(dest, text)
	}
	if _, err := os.Lstat(filepath.Join(dir, stateName, catalogName)); !errors.Is(err, fs.ErrNotExist) {
		return &ForeignJournalError{Path: dest, Entries: foreign}
	}
	aside, err := keepAside(dest)
	if err != nil {
		return fmt.Errorf("copy of the journal: %w", err)
	}
	if err := copyJournal(dest, text); err != nil {
		return err
	}
	return &ForeignJournalError{Path: filepath.Join(dir, stateName, aside), Entries: foreign, Aside: aside}
}

// lacking counts the entries of a journal that ours lacks.
func lacking(ours, other []byte) (int, error) {
	have, err := readJournal(bytes.NewReader(ours))
	if err != nil {
		return 0, err
	}
	theirs, err := readJournal(bytes.NewReader(other))
	if err != nil {
		return 0, err
	}
	n := 0
	for seq, line := range theirs.entries {
		if have.entries[seq] != line {
			n++
		}
	}
	return n, nil
}

// keepAside renames a journal to the first free journal-N.txt beside it.
func keepAside(path string) (name string, err error) {
	for n := 2; n < 10000; n++ {
		name = fmt.Sprintf("journal-%d.txt", n)
		err := vfs.OS{}.RenameNew(path, filepath.Join(filepath.Dir(path), name))
		if !errors.Is(err, fs.ErrExist) {
			return name, err
		}
	}
	return "", errors.New("too many journals were kept aside before")
}
