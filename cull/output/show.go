package output

import (
	"context"
	"errors"
	"image"
	"os"
	"strings"
	"sync"

	"garner/cull/job"
	"garner/preview/finished"
	"garner/preview/imprint"
	"garner/preview/resample"
)

// Showing cuts single pictures as a Run would, for somebody to look at. It writes
// nothing. Its methods may be called by several goroutines.
type Showing struct {
	job      *job.Job
	ties     Ties
	runner   runner // that never runs: it cuts to memory
	stampErr error
	files    map[string]file
	paths    []string
}

// Shown is one picture as a set has it.
type Shown struct {
	Bytes         []byte // what the file would hold
	Width, Height int
	Quality       int
	PPI           int
	Stamped       bool
	Remarks       []string

	Full image.Point     // pixels of the picture, upright
	Kept image.Rectangle // the part of them that the set shows
}

// Cropped reports whether the set cuts something of the picture away.
func (s Shown) Cropped() bool { return s.Kept != image.Rectangle{Max: s.Full} }

// Name is what the file of a picture would be called in a set, and the picture's number.
type Name struct {
	File   string
	Number int
}

// OpenShowing looks at what there is to be cut; no picture is opened. Ties are those
// that a Run is given, nil = by the bodies of the job alone. A stamp that cannot be made
// is an error of the sets that want it.
func OpenShowing(ctx context.Context, j *job.Job, ties Ties) (*Showing, error) {
	s := &Showing{job: j, runner: runner{root: j.Root()}, files: map[string]file{}}
	f, err := find(ctx, j.Root())
	if err != nil {
		return nil, err
	}
	for _, x := range f.files {
		s.files[x.path] = x
		s.paths = append(s.paths, x.path)
	}
	if len(s.paths) == 0 {
		return nil, ErrNothing
	}
	if ties == nil {
		if ties, err = bodyTies(j); err != nil {
			return nil, err
		}
	}
	s.ties = &inTurn{ties: ties}
	pl := &s.runner.plan
	if pl.texts, err = textsOf(j); err != nil {
		return nil, err
	}
	pl.stamp, s.stampErr = readStamp(j.Settings().Stamp)
	return s, nil
}

// Pictures are the paths in finished/, in their order.
func (s *Showing) Pictures() []string { return s.paths }

// Show cuts a picture for a set: the bytes are those that a Run would write. Of proofs
// it is the large one.
func (s *Showing) Show(ctx context.Context, set Set, path string) (Shown, error) {
	if set.Pages != nil {
		set = set.part(largePart)
	}
	if set.Stamp && s.stampErr != nil {
		return Shown{}, s.stampErr
	}
	return s.cut(ctx, set, path)
}

// Uncut is the picture with nothing cut away, as large as fits, in the colours and
// with the sharpening of a set, without its stamp.
func (s *Showing) Uncut(ctx context.Context, set Set, path string, longEdge int) (Shown, error) {
	set.Size = resample.Size{Kind: resample.LongEdge, W: longEdge}
	set.Stamp, set.Limit, set.Quality = false, 0, max(set.Quality, 90)
	return s.cut(ctx, set, path)
}

func (s *Showing) cut(ctx context.Context, set Set, path string) (Shown, error) {
	r := &s.runner
	pl := planner{root: r.root, ledger: &ledger{pictures: map[string]record{}}, ties: s.ties, renderer: &r.renderer, plan: r.plan}
	x, err := s.file(path)
	if err != nil {
		return Shown{}, err
	}
	p, err := pl.read(ctx, x, nil)
	if err != nil {
		return Shown{}, err
	}
	if set.Pages != nil {
		set = set.part(largePart)
	}
	p.wanted = []wanted{{set: &set}}
	head, results, err := r.results(ctx, p)
	if err != nil {
		return Shown{}, err
	}
	res := results[0]
	if res.Err != nil {
		return Shown{}, res.Err
	}
	out := Shown{Bytes: res.Bytes, Width: res.Width, Height: res.Height, Quality: res.Quality, PPI: set.perInch(head),
		Stamped: set.Stamp && r.plan.stamp.maker != nil, Remarks: remarks(head, &set, res)}
	out.Full.X, out.Full.Y = resample.UprightSize(head.Width, head.Height, head.Orientation)
	upright, err := set.Size.Plan(out.Full.X, out.Full.Y, 1)
	out.Kept = upright.Crop
	return out, err
}

// file is a picture as it lies there now.
func (s *Showing) file(path string) (file, error) {
	x := s.files[path]
	info, err := os.Stat(x.abs)
	if err != nil {
		return x, err
	}
	x.size, x.modified = info.Size(), info.ModTime().UnixNano()
	return x, nil
}

// Names works out what files of the sets would be called, by set and picture. All
// pictures are read for it, as far as they are not known from a Run.
func (s *Showing) Names(ctx context.Context, sets []Set) (map[string]map[string]Name, error) {
	names, bare := map[string]map[string]Name{}, make([]Set, len(sets))
	for i, set := range sets {
		bare[i] = set
		bare[i].Stamp = false // it has no part in a name
		names[set.Name] = map[string]Name{}
	}
	_, err := Run(ctx, s.job, Options{Sets: bare, DryRun: true, Ties: s.ties, Line: func(l Line) {
		if l.Picture != "" && l.File != "" && !strings.HasPrefix(l.File, smallPart+"/") {
			names[l.Set][l.Picture] = Name{l.File, l.Number}
		}
	}})
	return names, err
}

// inTurn asks ties one at a time.
type inTurn struct {
	mu   sync.Mutex
	ties Ties
}

// Of implements Ties.
func (t *inTurn) Of(path string, p *finished.Picture) Tie {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.ties.Of(path, p)
}

// Why is an error of Show in words, without the path, which stands beside it.
func Why(err error) string { return why(err) }

// Advice is what can be done about an error of Show; "" = nothing that garner knows of.
func Advice(err error, set Set) string {
	var mark *StampError
	var shape *resample.ShapeError
	switch {
	case errors.As(err, &mark):
		return "[stamp] in garner.toml says what it is; stamp = false in [sets." + set.Name + "] does without"
	case errors.As(err, &shape):
		return "crop = true in [sets." + set.Name + "] lets it be cropped; fit instead of exact shows all of it"
	}
	return ""
}

// StampAt is where stamps stand, in parts of a picture's width and height.
func (s *Showing) StampAt() (across, down float64) {
	across, down = 0.5, 0.5
	c, _ := imprint.ParseCorner(or(s.job.Settings().Stamp.Corner, imprint.BottomRight.String()))
	switch c {
	case imprint.BottomRight, imprint.TopRight:
		across = 1
	case imprint.BottomLeft, imprint.TopLeft:
		across = 0
	}
	switch c {
	case imprint.BottomRight, imprint.BottomLeft, imprint.Bottom:
		down = 1
	case imprint.TopRight, imprint.TopLeft, imprint.Top:
		down = 0
	}
	return across, down
}
