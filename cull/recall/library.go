package recall

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"garner/cull/closing/record"
	"garner/cull/job"
)

// Options say how a Library is opened.
type Options struct {
	Cache    string                // folder for the indexes of shelves that cannot be written; "" = they are kept in memory
	Progress func(done, total int) // of the records of a shelf that have to be read; nil = nobody wants to know
	Pictures func(done, total int) // of the pictures in a job that were given back and not looked at yet; likewise
}

// Library is some places, open to be asked. It holds no file open.
type Library struct {
	places  []*place
	shelves []*shelf
	broken  []Broken
	remarks []string
}

// Broken is a place that cannot be asked.
type Broken struct {
	Dir string
	Err error
}

// place is a bag or a job.
type place struct {
	dir    string // absolute
	isJob  bool
	frames int
	open   func() (*part, func(), error)         // and what closes it
	again  func(context.Context) (*place, error) // makes a damaged part anew; nil = it cannot be damaged
}

// use opens the part of a place. One that is found to be damaged is made anew, once.
func (p *place) use(ctx context.Context, do func(*part) error) error {
	err := p.once(do)
	if !errors.Is(err, errDamaged) || p.again == nil {
		return err
	}
	anew, err := p.again(ctx)
	if err != nil {
		return err
	}
	p.open, p.frames = anew.open, anew.frames
	return p.once(do)
}

func (p *place) once(do func(*part) error) error {
	part, done, err := p.open()
	if err != nil {
		return err
	}
	defer done()
	return do(part)
}

// ErrNoPlace is the reason of a folder that is neither bag nor job nor shelf.
var ErrNoPlace = errors.New("is no bag, no job and no folder of bags")

// Open looks at places: bags, jobs and shelves. What is broken is in Broken; an error is
// that of ctx alone.
func Open(ctx context.Context, dirs []string, o Options) (*Library, error) {
	l := &Library{}
	had := map[string]bool{}
	for _, dir := range dirs {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		abs, err := filepath.Abs(dir)
		if err == nil {
			abs, err = filepath.EvalSymlinks(abs)
		}
		if err != nil {
			l.fail(dir, plainly(err))
			continue
		}
		if had[abs] {
			continue
		}
		had[abs] = true
		if err := l.add(ctx, abs, o); err != nil {
			return nil, err
		}
	}
	return l, nil
}

// plainly is an error without the path, which is said beside it.
func plainly(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

func (l *Library) fail(dir string, err error) { l.broken = append(l.broken, Broken{dir, err}) }

// add finds out what a folder is.
func (l *Library) add(ctx context.Context, dir string, o Options) error {
	switch {
	case isBag(dir):
		p, err := bagInMemory(ctx, dir)
		return l.take(ctx, dir, p, err)
	case isJob(dir):
		p, err := jobInMemory(ctx, dir, o.Pictures)
		return l.take(ctx, dir, p, err)
	}
	bags, err := bagsIn(dir)
	if err != nil {
		l.fail(dir, plainly(err))
		return nil
	}
	if len(bags) == 0 {
		l.fail(dir, ErrNoPlace)
		return nil
	}
	return l.addShelf(ctx, dir, bags, o)
}

func (l *Library) take(ctx context.Context, dir string, p *place, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		l.fail(dir, plainly(err))
		return nil
	}
	l.places = append(l.places, p)
	return nil
}

func exists(path ...string) bool {
	_, err := os.Stat(filepath.Join(path...))
	return err == nil
}

func isBag(dir string) bool {
	return exists(dir, "bagit.txt") || exists(dir, filepath.FromSlash(record.Folder))
}

func isJob(dir string) bool { return exists(dir, ".garner", "catalog.db") }

// bagsIn lists the bags of a shelf, one or two levels deep, by their paths below it.
func bagsIn(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var bags []string
	for _, e := range entries {
		if !visible(e) {
			continue
		}
		one := filepath.Join(dir, e.Name())
		if isBag(one) {
			bags = append(bags, e.Name())
			continue
		}
		below, _ := os.ReadDir(one) // what is no folder, or is closed, has no bags
		for _, b := range below {
			if visible(b) && isBag(filepath.Join(one, b.Name())) {
				bags = append(bags, filepath.Join(e.Name(), b.Name()))
			}
		}
	}
	return bags, nil
}

// visible reports whether an entry may be a folder that somebody put there: a link to
// one is.
func visible(e fs.DirEntry) bool {
	return e.Name()[0] != '.' && (e.IsDir() || e.Type()&fs.ModeSymlink != 0)
}

// bagInMemory makes the part of a bag that is named by itself.
func bagInMemory(ctx context.Context, dir string) (*place, error) {
	r, err := record.Open(dir)
	if err != nil {
		return nil, err
	}
	text, err := bagPart(ctx, r, [32]byte{})
	if err != nil {
		return nil, err
	}
	return inMemory(dir, false, text)
}

func bagPart(ctx context.Context, r *record.Record, key [32]byte) ([]byte, error) {
	m, err := ofBag(ctx, r)
	if err != nil {
		return nil, err
	}
	return encodePart(m.about, m.entries, key)
}

func jobInMemory(ctx context.Context, dir string, shown func(done, total int)) (*place, error) {
	j, err := job.Open(dir, job.Options{ReadOnly: true, Command: "recall"})
	if err != nil {
		return nil, err
	}
	defer j.Close()
	m, err := ofJob(ctx, j, shown)
	if err != nil {
		return nil, err
	}
	text, err := encodePart(m.about, m.entries, [32]byte{})
	if err != nil {
		return nil, err
	}
	return inMemory(dir, true, text)
}

func inMemory(dir string, isJob bool, text []byte) (*place, error) {
	open := func() (*part, func(), error) {
		p, err := openPart(bytes.NewReader(text), int64(len(text)))
		return p, func() {}, err
	}
	p, _, err := open()
	if err != nil {
		return nil, err
	}
	return &place{dir: dir, isJob: isJob, frames: p.rows, open: open}, nil
}

// Places is how many bags and jobs can be asked, and how many frames they have; one that
// is in several counts in each.
func (l *Library) Places() (places, frames int) {
	for _, p := range l.places {
		frames += p.frames
	}
	return len(l.places), frames
}

// Broken lists what cannot be asked.
func (l *Library) Broken() []Broken { return l.broken }

// Remarks are what a person may want to know of the places, a sentence each.
func (l *Library) Remarks() []string { return l.remarks }
