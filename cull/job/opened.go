package job

import (
	"bytes"
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// That this copy of the job was made of a bag is a line of the journal:
//
//	correct opened PATH    of this bag
//
// What stands before it about bags and freed originals is of the copy that the bag was
// made from: its bags may lie on another machine, and its originals may still be there.
const correctOpened = "opened"

// Opened returns the bag that this copy of the job was made of; "" = it was not made of one.
func (j *Job) Opened() (string, error) {
	var dir string
	err := j.db.View(func(tx *catalog.Tx) error {
		e, err := opening(tx)
		if err == nil && e.Seq > 0 {
			dir = e.Args[1]
		}
		return err
	})
	return dir, err
}

// opening is the last entry that says that the job was opened; its number is 0 if there is
// none.
func opening(tx *catalog.Tx) (cull.Entry, error) {
	var last cull.Entry
	entries, err := correctionsOf(tx)
	for _, e := range entries {
		if e.Verb == cull.VerbCorrect && len(e.Args) == 2 && e.Args[0] == correctOpened {
			last = e
		}
	}
	return last, err
}

// SetOpened notes that this copy is made of a bag, in place of the bags that the journal of
// that one told of. came is that journal: an opening that was interrupted after this note
// only adds the bag that it goes on with.
func (j *Job) SetOpened(bag string, came []byte) error {
	was, err := j.Bags()
	if err != nil {
		return err
	}
	var last cull.Entry
	if err := j.db.View(func(tx *catalog.Tx) (err error) { last, err = opening(tx); return err }); err != nil {
		return err
	}
	if last.Seq > lastOf(came) {
		return j.NoteBags(bag)
	}
	entries := []cull.Entry{note(correctOpened, bag)}
	for _, dir := range was {
		if dir != bag {
			entries = append(entries, unnote(correctArchived, dir))
		}
	}
	if !slices.Contains(was, bag) {
		entries = append(entries, note(correctArchived, bag))
	}
	_, err = j.Append(entries...)
	return err
}

// lastOf is the number of the last entry of a journal's text.
func lastOf(text []byte) (seq uint64) {
	for line := range bytes.Lines(text) {
		if e, err := cull.ParseEntry(string(bytes.TrimSpace(line))); err == nil {
			seq = max(seq, e.Seq)
		}
	}
	return seq
}

// FreedHere returns the originals that were freed in this copy of the job, by their paths:
// those of [Job.Freed] without what was freed before it was made of a bag.
func (j *Job) FreedHere() (map[string]FreedFile, error) {
	var freed map[string]FreedFile
	err := j.db.View(func(tx *catalog.Tx) error {
		opened, err := opening(tx)
		if err != nil {
			return err
		}
		freed, err = freedSince(tx, opened.Seq)
		return err
	})
	return freed, err
}
