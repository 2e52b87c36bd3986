package job

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"slices"
	"time"

	"garner/cull"
	"garner/store/catalog"
)

// Where bags of the job lie is a line of the journal, so that it outlives the
// catalogue:
//
//	correct archived PATH [none]    a bag of this job, or no longer
//
// What was proven of them is kept in the catalogue alone: what is not recorded is
// not proven.
const correctArchived = "archived"

// Bags returns the folders of the job's bags, in the order in which they were first
// made. They need not be reachable now.
func (j *Job) Bags() ([]string, error) {
	dirs, err := j.noted(correctArchived)
	return slices.DeleteFunc(dirs, func(dir string) bool { return !filepath.IsAbs(dir) }), err
}

// NoteBags notes folders in which a bag of the job lies or is being made.
func (j *Job) NoteBags(dirs ...string) error {
	have, err := j.Bags()
	if err != nil {
		return err
	}
	var entries []cull.Entry
	for _, dir := range dirs {
		if !slices.Contains(have, dir) {
			entries = append(entries, note(correctArchived, dir))
		}
	}
	_, err = j.Append(entries...)
	return err
}

// ForgetBag takes the note of a bag back.
func (j *Job) ForgetBag(dir string) error {
	have, err := j.Bags()
	if err != nil || !slices.Contains(have, dir) {
		return err
	}
	_, err = j.Append(unnote(correctArchived, dir))
	return err
}

// OfThisCopy reports whether an entry tells of this copy of the job alone, and means
// nothing to one that is made of a bag: where bags lie, which of them it was made of, and
// which originals were freed here.
func OfThisCopy(e cull.Entry) bool { return IsFreed(e) || isOfBags(e) }

func isOfBags(e cull.Entry) bool {
	return e.Verb == cull.VerbCorrect && len(e.Args) > 1 && (e.Args[0] == correctArchived || e.Args[0] == correctOpened)
}

// Archived is what the last archiving of the job proved.
type Archived struct {
	At     time.Time
	Run    int    // number of the record in the bags
	Entry  uint64 // number of the last entry of the journal that is in it
	Places []ArchivedPlace
	Why    []string // why the folder must not be deleted, in sentences; none = nothing was against it

	Files map[string]ArchivedFile `json:"-"` // by path: those that are in every bag, or in it as small pictures
}

// ArchivedPlace is a bag as it was left.
type ArchivedPlace struct {
	Dir    string
	Proven bool   // every byte in it was read back then
	Why    string // why not
}

// ArchivedFile is a file of the job as it was when its copy was read back.
type ArchivedFile struct {
	Size    int64  `json:"size"`
	Mod     int64  `json:"mod"`               // nanoseconds since 1970
	Touched int64  `json:"touched,omitempty"` // likewise, as of vfs.Touched; 0 = the system did not say
	Head    string `json:"head"`              // lower-case hex SHA-256 of the first 64 KiB
	Sum     string `json:"sum"`               // of all of it
	Small   string `json:"small,omitempty"`   // path in the bags of the small picture that is kept of it; "" = it is kept itself
}

// archivedEvidence is the method under which is kept what was archived, by path. The
// run itself has a key that is no path.
const (
	archivedEvidence = "archived-2"
	archivedRun      = "\x00run"
)

// SaveArchived keeps what an archiving proved, in place of what the one before did.
func (j *Job) SaveArchived(a Archived) error {
	run, err := json.Marshal(a)
	if err != nil {
		return err
	}
	return j.update(func(tx *catalog.Tx) error {
		t := tx.Evidence(archivedEvidence)
		was := map[string][]byte{}
		err := t.Each(func(path string, blob []byte) error {
			was[path] = blob
			return nil
		})
		if err != nil {
			return err
		}
		for path := range was {
			if _, ok := a.Files[path]; !ok && path != archivedRun {
				if err := t.Delete(path); err != nil {
					return err
				}
			}
		}
		for path, f := range a.Files {
			blob, err := json.Marshal(f)
			if err != nil {
				return err
			}
			if !bytes.Equal(was[path], blob) {
				if err := t.Put(path, blob); err != nil {
					return err
				}
			}
		}
		return t.Put(archivedRun, run)
	})
}

// Archived returns what the last archiving proved, and whether there was one.
func (j *Job) Archived() (Archived, bool, error) {
	a, found := Archived{Files: map[string]ArchivedFile{}}, false
	err := j.db.View(func(tx *catalog.Tx) error {
		return tx.Evidence(archivedEvidence).Each(func(path string, blob []byte) error {
			if path == archivedRun {
				found = json.Unmarshal(blob, &a) == nil
				return nil
			}
			var f ArchivedFile
			if json.Unmarshal(blob, &f) == nil {
				a.Files[path] = f
			}
			return nil
		})
	})
	return a, found, err
}
