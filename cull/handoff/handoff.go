package handoff

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"time"

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
	To       string        // folder for verified copies; "" = none

	Line     func(Line)                         // told of every sidecar and copy, in order; may be nil
	Progress func(done, total int, what string) // may be nil
}

// Line is what became of one sidecar (or, with Copy set, of one copied file).
type Line struct {
	ID      cull.ID
	Frame   string
	Sidecar string // job-relative, or below Options.To
	Copy    string // the copied file below Options.To; "" for a sidecar line
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

// ErrInsideJob refuses copies into the job itself, where the next scan would
// take them for frames.
var ErrInsideJob = errors.New("the folder for the copies lies inside the job")

// state is everything a handoff reads before it writes.
type state struct {
	job     *job.Job
	fs      vfs.FS
	o       Options
	frames  map[cull.ID]cull.Frame
	layout  cull.Layout
	passes  []cull.Pass
	answers map[string]map[cull.ID]cull.Decision
	letters map[string]string
	touched func(cull.ID) time.Time
	wrote   map[string][]byte // what earlier handoffs wrote, by key
	news    map[string][]byte // what this one wrote and has not remembered yet
	sum     Summary
}

// Run hands a job's decisions over. It returns with what was done so far when
// ctx ends; a file that fails is a line, not an error.
func Run(ctx context.Context, j *job.Job, o Options) (sum Summary, err error) {
	if o.Rating == 0 {
		o.Rating = 1
	}
	if o.Style == "" {
		o.Style = sidecar.Short
	}
	if o.To != "" {
		if o.To, err = outside(j.Root(), o.To); err != nil {
			return sum, err
		}
	}
	s, err := read(j, o)
	if err != nil {
		return sum, err
	}
	keeps := s.keeps()
	defer func() {
		// What was written is remembered even when the rest failed: the next
		// run has to know its own values again.
		if werr := s.flush(); err == nil {
			err = werr
		}
		sum = s.sum
	}()
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
	if err := s.sidecars(ctx, keeps); err != nil {
		return sum, err
	}
	if err := s.lists(keeps); err != nil {
		return sum, err
	}
	if o.To != "" {
		err = s.copies(ctx, keeps)
	}
	return sum, err
}

func read(j *job.Job, o Options) (*state, error) {
	s := &state{job: j, fs: vfs.OS{}, o: o, answers: map[string]map[cull.ID]cull.Decision{}, letters: map[string]string{}, news: map[string][]byte{}}
	s.sum.Sidecars, s.sum.Copies = map[Action]int{}, map[Action]int{}
	var err error
	if s.frames, err = j.Frames(); err != nil {
		return nil, err
	}
	if s.layout, err = j.Layout(); err != nil {
		return nil, err
	}
	session, err := j.Session()
	if err != nil {
		return nil, err
	}
	s.touched = session.Touched
	s.passes = session.Passes()
	for _, p := range s.passes {
		s.answers[p.Name] = session.Decisions(p.Name)
	}
	bodies, err := j.Bodies()
	if err != nil {
		return nil, err
	}
	for _, b := range bodies {
		s.letters[b.Key] = b.Letter
	}
	s.layout = session.Layout() // with the scenes' names
	s.wrote, err = j.AllWrote()
	return s, err
}

// outside makes the folder for copies absolute and refuses one in the job.
func outside(root, to string) (string, error) {
	abs, err := filepath.Abs(to)
	if err != nil {
		return "", err
	}
	real := func(p string) string {
		// The folder need not exist yet: resolve what does.
		for q := p; ; q = filepath.Dir(q) {
			if r, err := filepath.EvalSymlinks(q); err == nil {
				return filepath.Join(r, strings.TrimPrefix(p, q))
			}
			if q == filepath.Dir(q) {
				return p
			}
		}
	}
	if rel, err := filepath.Rel(real(root), real(abs)); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(os.PathSeparator)) {
		return "", fmt.Errorf("%w: %s", ErrInsideJob, to)
	}
	return abs, nil
}

// flush makes what was written remembered.
func (s *state) flush() error {
	if len(s.news) == 0 {
		return nil
	}
	if err := s.job.SetWrote(s.news); err != nil {
		return err
	}
	maps.Copy(s.wrote, s.news)
	clear(s.news)
	return nil
}

// tell counts and reports one line.
func (s *state) tell(l Line) {
	if l.Copy != "" {
		s.sum.Copies[l.Action]++
	} else {
		s.sum.Sidecars[l.Action]++
	}
	if s.o.Line != nil {
		s.o.Line(l)
	}
}

func (s *state) progress(done, total int, what string) {
	if s.o.Progress != nil {
		s.o.Progress(done, total, what)
	}
}
