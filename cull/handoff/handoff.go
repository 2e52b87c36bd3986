package handoff

import (
	"context"
	"errors"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/sidecar"
	"garner/store/vfs"
)

// Options steer one handoff.
type Options struct {
	Drops    bool          // dropped frames get a sidecar too
	Rating   int           // xmp:Rating of a keeper, 1..5; 0 = 1
	Keywords bool          // later passes that said yes become dc:subject keywords
	Style    sidecar.Style // "" = sidecar.Short
	Replace  bool          // replace somebody else's rating
	Times    bool          // corrected capture times, where a clock was corrected
	To       string        // folder for verified copies; "" = none

	Line     func(Line)                         // told of every sidecar and copy, in order; may be nil
	Progress func(done, total int, what string) // may be nil
}

// Line is what became of one sidecar (or, with Copy set, of one copied file).
type Line struct {
	ID      cull.ID
	Frame   string
	Sidecar string // job-relative, or below Options.To
	Copy    string // a copied file or the note below Options.To, or a list; "" for a sidecar line
	Action  Action
	Reason  string
}

// Action says what became of a file.
type Action string

// The actions: those of a sidecar, and skipped (nothing of ours to say and
// nothing to take back). A copy is written, unchanged (already there and the
// same), skipped (the editor has written into it since) or failed.
const (
	Written   = Action(sidecar.Written)
	Merged    = Action(sidecar.Merged)
	Unchanged = Action(sidecar.Unchanged)
	Withdrawn = Action(sidecar.Withdrawn)
	Conflict  = Action(sidecar.Conflict)
	Failed    = Action(sidecar.Failed)
	Skipped   = Action("skipped")
)

// Summary is the result of a handoff.
type Summary struct {
	Keeps, Parts   int
	Sidecars       map[Action]int
	Copies         map[Action]int
	CopiedBytes    int64
	InFile         int      // keepers whose kind many editors read no sidecar for
	NotInText      int      // keepers whose path has a line break and stands only in the csv and json lists
	NoLongerKept   []string // copies in To of frames that are no keepers any more
	Lists          []string // job-relative
	UnverifiedRead bool     // some read-back could not bypass the page cache
}

// Failed counts the files that could not be written.
func (s Summary) Failed() int { return s.Sidecars[Failed] + s.Copies[Failed] }

// Run hands a job's decisions over. It returns with what was done so far when
// ctx ends; a file that fails is a line, not an error.
func Run(ctx context.Context, j *job.Job, o Options) (Summary, error) {
	if o.Rating == 0 {
		o.Rating = 1
	}
	if o.Style == "" {
		o.Style = sidecar.Short
	}
	fsys := vfs.OS{}
	if o.To != "" {
		to, err := outside(fsys, j.Root(), o.To)
		if err != nil {
			return Summary{}, err
		}
		o.To = to
	}
	s, err := read(j, o, fsys)
	if err != nil {
		return Summary{}, err
	}
	err = s.all(ctx)
	// What was written is remembered even when the rest failed: the next run has
	// to know its own values again.
	return s.sum, errors.Join(err, s.mem.save())
}

func (s *state) all(ctx context.Context) error {
	keeps := s.keeps()
	for _, k := range keeps {
		if k.Answer == cull.Part {
			s.sum.Parts++
		} else {
			s.sum.Keeps++
		}
		if k.ignoresSidecar() {
			s.sum.InFile++
		}
	}
	if err := s.sidecars(ctx); err != nil {
		return err
	}
	if err := s.lists(keeps); err != nil {
		return err
	}
	if s.o.To == "" {
		return nil
	}
	return s.copies(ctx, keeps)
}
