package job

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"sync"

	"garner/cull"
	"garner/store/catalog"
)

// ErrJournal is returned by Append when the entries are durable in the catalogue
// but their lines could not be written to journal.txt (a full disk). The entries
// are returned with it and stand; the lines are added when it next succeeds, or
// when the job is opened.
var ErrJournal = errors.New("the decision is kept, but journal.txt could not be written")

// errReadOnly is what every writing call of a job opened to be read returns.
var errReadOnly = errors.New("the job was opened to be read only")

// queue collects entries while a commit is on its way, so that they share the
// next one.
type queue struct {
	mu      sync.Mutex
	waiting []*request
	commit  sync.Mutex
}

// request is the entries of one call of Append.
type request struct {
	entries []cull.Entry
	err     error
	done    bool
}

// Append makes entries durable and returns them with their numbers, which
// replace what they came with. All entries of one call are kept or none. It
// returns when the catalogue is synced and the lines are in journal.txt; calls
// that wait at the same time share one commit. An entry without time or person
// gets those of the job.
func (j *Job) Append(entries ...cull.Entry) ([]cull.Entry, error) {
	if len(entries) == 0 {
		return nil, nil
	}
	if j.o.ReadOnly {
		return nil, errReadOnly
	}
	r := &request{}
	for _, e := range entries {
		r.entries = append(r.entries, j.stamped(e))
	}
	q := &j.queue
	q.mu.Lock()
	q.waiting = append(q.waiting, r)
	q.mu.Unlock()

	q.commit.Lock()
	defer q.commit.Unlock()
	if !r.done { // whoever committed before us has not taken ours along
		q.mu.Lock()
		batch := q.waiting
		q.waiting = nil
		q.mu.Unlock()
		j.commitBatch(batch)
	}
	if r.err != nil && !errors.Is(r.err, ErrJournal) {
		return nil, r.err
	}
	return r.entries, r.err
}

// commitBatch commits the entries of several calls. When the entries of one
// can't be committed the calls are tried one by one, so that one bad entry
// hurts nobody else.
func (j *Job) commitBatch(batch []*request) {
	err := j.commit(batch)
	if err != nil && !errors.Is(err, ErrJournal) && len(batch) > 1 {
		for _, r := range batch {
			r.err = j.commit([]*request{r})
			r.done = true
		}
		return
	}
	for _, r := range batch {
		r.err, r.done = err, true
	}
}

func (j *Job) commit(batch []*request) error {
	var lines []byte
	whole, answered := false, false
	err := j.db.UpdateThen(func(tx *catalog.Tx) error {
		seq := catalog.KeySeq(tx.Journal().Last())
		var all []cull.Entry
		for _, r := range batch {
			for i := range r.entries {
				seq++
				r.entries[i].Seq = seq
				line, err := record(tx, r.entries[i])
				if err != nil {
					return err
				}
				lines = append(append(lines, line...), '\n')
			}
			all = append(all, r.entries...)
		}
		if err := knowPasses(tx, all); err != nil {
			return err
		}
		if answered = slices.ContainsFunc(all, isConsent); answered {
			if err := heedFaces(tx); err != nil {
				return err
			}
		}
		// The size that journal.txt will have tells the next program at a glance
		// whether it has all lines.
		size, known, err := tx.Meta().Get(metaJournalSize)
		if err != nil {
			return err
		}
		whole = known && fileSize(j.journalPath()) == size
		return tx.Meta().Put(metaJournalSize, size+int64(len(lines)))
	}, func() error {
		if !whole {
			return nil // mended below, from the catalogue
		}
		return j.writeLines(lines)
	})
	if err == nil && !whole {
		if err = j.reconcile(); err != nil {
			err = fmt.Errorf("%w: %w", ErrJournal, err)
		}
	}
	if answered && (err == nil || errors.Is(err, ErrJournal)) {
		// The no stands. Should the file of templates outlast it, nobody may read it,
		// and opening the job removes it.
		_ = j.heedConsent()
	}
	return err
}

// record puts one entry into the transaction and returns its line.
func record(tx *catalog.Tx, e cull.Entry) (string, error) {
	line := cull.FormatEntry(e)
	// What can't be read back must not be acknowledged.
	if _, err := cull.ParseEntry(line); err != nil {
		return "", fmt.Errorf("the entry can't be journalled: %w", err)
	}
	replaced, err := apply(tx, e)
	if err != nil {
		return "", err
	}
	key := catalog.SeqKey(e.Seq)
	if err := tx.Journal().Put(key, catalog.Entry{Line: line, Replaced: replaced}); err != nil {
		return "", err
	}
	if isCorrection(e) {
		err = tx.Corrections().Put(key, line)
	}
	return line, err
}

// writeLines adds lines to journal.txt in one write.
func (j *Job) writeLines(lines []byte) error {
	f, err := os.OpenFile(j.journalPath(), os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o666)
	if err == nil {
		_, err = f.Write(lines)
		if cerr := f.Close(); err == nil {
			err = cerr
		}
	}
	if err != nil {
		return fmt.Errorf("%w: %w", ErrJournal, err)
	}
	j.mu.Lock()
	j.dirty = true
	j.mu.Unlock()
	return nil
}

// syncJournal makes the lines of journal.txt durable too.
func (j *Job) syncJournal() error {
	j.mu.Lock()
	defer j.mu.Unlock()
	if !j.dirty {
		return nil
	}
	f, err := os.OpenFile(j.journalPath(), os.O_WRONLY, 0)
	if err == nil {
		err = f.Sync()
		if cerr := f.Close(); err == nil {
			err = cerr
		}
	}
	if err != nil {
		return fmt.Errorf("journal: %w", err)
	}
	j.dirty = false
	return nil
}

// fileSize is -1 for a file that can't be looked at, and 0 for one that is not
// there.
func fileSize(path string) int64 {
	info, err := os.Stat(path)
	if os.IsNotExist(err) {
		return 0
	}
	if err != nil {
		return -1
	}
	return info.Size()
}
