package closing

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/cull/scan"
	"garner/store"
	"garner/store/archive"
	"garner/store/vfs"
	"garner/store/volume"
)

// What is refused before anything is touched.
var (
	ErrNoPlace   = errors.New("there is no folder for the bag")
	ErrInside    = errors.New("the folder for the bag lies inside the job")
	ErrHolds     = errors.New("the job lies inside the folder for the bag")
	ErrSamePlace = errors.New("two folders for the bag are one")
	ErrBusy      = errors.New("this job is being archived by another program")

	errFile = errors.New("the folder for the bag is a file")
)

// place is a folder that gets a bag of the job, on its way.
type place struct {
	Place
	shelf  string
	vol    volume.Volume
	bag    *archive.Bag   // as it was before; nil = there was none
	record *record.Record // the last one in it; nil = there is none
	had    bool           // there was a bag before this run, or the beginning of one
	held   *os.File       // its folder, while no other program is to add to the bag
}

// alive reports whether the place is still worked on.
func (p *place) alive() bool { return p.Err == nil }

// sum returns the checksum that the bag has for a path.
func (p *place) sum(path string) (sum [32]byte, ok bool) {
	if p.bag == nil {
		return sum, false
	}
	return p.bag.Sum(path)
}

// shelves makes the folders absolute, links resolved as far as they exist, and
// refuses those that cannot be meant.
func shelves(fsys vfs.FS, root string, dirs []string) ([]string, error) {
	if len(dirs) == 0 {
		return nil, ErrNoPlace
	}
	var out []string
	for _, dir := range dirs {
		abs, err := filepath.Abs(dir)
		if err != nil {
			return nil, err
		}
		abs = vfs.Resolve(abs)
		switch {
		case vfs.Within(fsys, root, abs):
			return nil, fmt.Errorf("%w: %s", ErrInside, dir)
		case vfs.Within(fsys, abs, root):
			return nil, fmt.Errorf("%w: %s", ErrHolds, dir)
		}
		for _, other := range out {
			if abs == other || same(fsys, abs, other) {
				return nil, fmt.Errorf("%w: %s", ErrSamePlace, dir)
			}
		}
		out = append(out, abs)
	}
	return out, nil
}

func same(fsys vfs.FS, a, b string) bool {
	x, err1 := fsys.Stat(a)
	y, err2 := fsys.Stat(b)
	return err1 == nil && err2 == nil && vfs.SameFile(x, y)
}

// bagIn finds the folder for the job's bag on a shelf: that of the bag it has there,
// else the first of NAME, NAME-2, … that is nobody's. Of a bag that was begun and has no
// record yet only the job's own note says whose it is.
func bagIn(shelf, name string, noted []string, journal []byte) (dir string, r *record.Record, err error) {
	for _, dir := range noted {
		if filepath.Dir(dir) != shelf {
			continue
		}
		switch r, err := record.Open(dir); {
		case err == nil && ours(r, journal):
			return dir, r, nil
		case errors.Is(err, record.ErrNone):
			if begun(dir) {
				return dir, nil, nil
			}
		}
	}
	if info, err := os.Stat(shelf); err == nil && !info.IsDir() {
		return "", nil, errFile
	}
	entries, err := os.ReadDir(shelf)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", nil, store.Wrap("read", shelf, err)
	}
	taken := map[string]bool{}
	like := regexp.MustCompile(`^` + regexp.QuoteMeta(name) + `(-[2-9]|-[1-9][0-9]+)?$`)
	for _, e := range entries {
		dir := filepath.Join(shelf, e.Name())
		taken[dir] = !empty(dir)
		if like.MatchString(e.Name()) && e.IsDir() {
			if r, err := record.Open(dir); err == nil && ours(r, journal) {
				return dir, r, nil
			}
		}
	}
	for n := 1; ; n++ {
		dir := filepath.Join(shelf, name)
		if n > 1 {
			dir = fmt.Sprintf("%s-%d", dir, n)
		}
		if taken[dir] {
			continue
		}
		// A shelf may take two cases of a name for one.
		if _, err := os.Lstat(dir); errors.Is(err, fs.ErrNotExist) || err == nil && empty(dir) {
			return dir, nil, nil
		}
	}
}

// empty reports whether dir is a folder with nothing in it, but for what systems leave
// behind, or what a killed program has just begun to write.
func empty(dir string) bool {
	info, err := os.Lstat(dir)
	if err != nil || !info.IsDir() {
		return false
	}
	entries, err := os.ReadDir(dir)
	return err == nil && !slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return !scan.Litter(e.Name()) })
}

// begun reports whether there is a bag without a record in a folder, or nothing at all.
func begun(dir string) bool {
	if _, err := os.Lstat(dir); errors.Is(err, fs.ErrNotExist) || empty(dir) {
		return true
	}
	_, err := archive.Open(vfs.OS{}, dir)
	return err == nil
}

// ours reports whether a record is of the job that has this journal: everything in
// the record's was done in the job too. A copy of the job that was decided on by itself
// is another one.
func ours(r *record.Record, journal []byte) bool {
	theirs, err := r.JournalWithin(len(journal))
	if err != nil || len(bytes.TrimSpace(theirs)) == 0 {
		return false
	}
	if bytes.HasPrefix(journal, theirs) {
		return true
	}
	lines := map[string]bool{}
	for line := range bytes.Lines(journal) {
		lines[string(bytes.TrimSpace(line))] = true
	}
	for line := range bytes.Lines(theirs) {
		if !lines[string(bytes.TrimSpace(line))] {
			return false
		}
	}
	return true
}

// nameOf is the name that a job's bags have.
func nameOf(j *job.Job) string {
	if name := portable(cull.PortableName(filepath.Base(j.Root()))); name != "" && name != "_" {
		return name
	}
	return "job"
}

// settle finds the places, and what lies there.
func (r *runner) settle() error {
	dirs, err := shelves(r.fsys, r.job.Root(), r.o.Dirs)
	if err != nil {
		return err
	}
	noted, err := r.job.Bags()
	if err != nil {
		return err
	}
	journal, err := r.job.JournalText()
	if err != nil {
		return err
	}
	name := nameOf(r.job)
	for _, shelf := range dirs {
		p := &place{shelf: shelf, Place: Place{Bypassed: true}}
		r.places = append(r.places, p)
		if p.Dir, p.record, p.Err = bagIn(shelf, name, noted, journal); p.Err != nil {
			p.Dir = filepath.Join(shelf, name)
			continue
		}
		if base := filepath.Base(p.Dir); base != name && !slices.Contains(noted, p.Dir) && p.record == nil {
			r.remark("%s lies there already and is not of this job: the bag is %s", filepath.Join(shelf, name), base)
		}
		if p.vol, p.Err = r.o.VolumeOf(p.Dir); p.Err != nil {
			continue
		}
		if !r.o.DryRun {
			p.Err = p.hold(r.fsys, noted, journal)
		}
		if p.alive() {
			p.Err = p.open(r.fsys)
		}
	}
	if !slices.ContainsFunc(r.places, (*place).alive) {
		return r.placeErrors()
	}
	return nil
}

// open reads the tag files of a bag that is there.
func (p *place) open(fsys vfs.FS) error {
	b, err := archive.Open(fsys, p.Dir)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, archive.ErrNoBag) && empty(p.Dir) {
		p.bag = nil
		return nil
	}
	if err != nil {
		return err
	}
	p.bag = b
	return nil
}

// PlaceError is what is wrong with the bag in one place.
type PlaceError struct{ Place Place }

func (e *PlaceError) Error() string { return e.Place.Dir + ": " + e.Place.Reason() }

// Unwrap returns the reason.
func (e *PlaceError) Unwrap() error { return e.Place.Err }

// placeErrors joins what is wrong with the places.
func (r *runner) placeErrors() error {
	var errs []error
	for _, p := range r.places {
		if p.Err != nil {
			errs = append(errs, &PlaceError{p.Place})
		}
	}
	return errors.Join(errs...)
}
