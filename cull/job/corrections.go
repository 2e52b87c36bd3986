package job

import (
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// Three more things are kept as corrections in the journal, so that they outlive a
// lost catalogue and reach every copy of the journal:
//
//	correct also PATH [none]        a folder that everything goes to, or no longer
//	correct damaged PATH [none]     a file of the job known to be damaged, or not
//	correct protected PATH [none]   a file of the job that was protected in the body
//
// Of several lines for one path the last counts.
const (
	correctAlso      = "also"
	correctDamaged   = "damaged"
	correctProtected = "protected"
	correctNone      = cull.CorrectNone
)

// noted lists the paths that the corrections of a kind name, in the order in
// which they were first named.
func noted(tx *catalog.Tx, kind string) ([]string, error) {
	entries, err := correctionsOf(tx)
	if err != nil {
		return nil, err
	}
	var paths []string
	for _, e := range entries {
		if e.Verb != cull.VerbCorrect || len(e.Args) < 2 || len(e.Args) > 3 || e.Args[0] != kind {
			continue
		}
		at := slices.Index(paths, e.Args[1])
		switch drop := len(e.Args) == 3 && e.Args[2] == correctNone; {
		case drop && at >= 0:
			paths = slices.Delete(paths, at, at+1)
		case !drop && at < 0:
			paths = append(paths, e.Args[1])
		}
	}
	return paths, nil
}

func (j *Job) noted(kind string) ([]string, error) {
	var paths []string
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		paths, err = noted(tx, kind)
		return err
	})
	return paths, err
}

func note(kind, path string) cull.Entry {
	return cull.Entry{Verb: cull.VerbCorrect, Args: []string{kind, path}}
}

func unnote(kind, path string) cull.Entry {
	return cull.Entry{Verb: cull.VerbCorrect, Args: []string{kind, path, correctNone}}
}

// Damaged returns the files of the job that are known to be damaged, such as the
// bad one of two twins, by their paths in the job.
func (j *Job) Damaged() (map[string]bool, error) {
	paths, err := j.noted(correctDamaged)
	damaged := make(map[string]bool, len(paths))
	for _, p := range paths {
		damaged[p] = true
	}
	return damaged, err
}

// SetDamaged notes that a file of the job is damaged. It stays where it is; a
// whole file of the same exposure is used in its place from the next scan on.
func (j *Job) SetDamaged(path string) error {
	damaged, err := j.Damaged()
	if err != nil || damaged[path] {
		return err
	}
	_, err = j.Append(note(correctDamaged, path))
	return err
}

// Protected returns the files of the job that the body's protect key had locked when
// they lay on the card, by their paths in the job.
func (j *Job) Protected() (map[string]bool, error) {
	paths, err := j.noted(correctProtected)
	protected := make(map[string]bool, len(paths))
	for _, p := range paths {
		protected[p] = true
	}
	return protected, err
}

// SetProtected notes files that were protected on their card. The copies are not:
// the note is all that is left of it.
func (j *Job) SetProtected(paths ...string) error {
	have, err := j.Protected()
	if err != nil {
		return err
	}
	var entries []cull.Entry
	for _, p := range paths {
		if !have[p] {
			have[p] = true
			entries = append(entries, note(correctProtected, p))
		}
	}
	if len(entries) == 0 {
		return nil
	}
	_, err = j.Append(entries...)
	return err
}
