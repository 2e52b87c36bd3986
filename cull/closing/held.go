package closing

import (
	"errors"
	"path/filepath"

	"garner/cull/closing/record"
	"garner/store/archive"
)

var (
	errGone  = errors.New("the bag is not there any more")
	errOther = errors.New("the disk is another one than it was at the beginning")
)

// holds makes sure that the bag in a place has, now and on the disk that it was made on,
// all that it is to have. A disk may have been taken away since its files were read back, and
// what is made under its name then is a bag, too.
func (r *runner) holds(p *place) error {
	if err := p.open(r.fsys); err != nil {
		return err
	}
	if p.bag == nil {
		return errGone
	}
	vol, err := r.o.VolumeOf(p.Dir)
	if err != nil {
		return err
	}
	if !vol.SameDisk(p.vol) {
		return errOther
	}
	p.vol = vol
	var lacks LackingError
	for _, x := range r.items {
		if x.bag != "" && (x.sum == nil || !r.has(p, x.bag, *x.sum, x.size)) {
			lacks.add(x.bag)
		}
		if is, ok := p.sum(x.small); x.small != "" && (!ok || !r.has(p, x.small, is, -1)) {
			lacks.add(x.small)
		}
	}
	for _, name := range recordNames {
		path := record.RunFolder(r.sum.Run) + "/" + name
		if is, ok := r.sumOf(path); !ok || !r.has(p, path, is, -1) {
			lacks.add(path)
		}
	}
	if lacks.Files > 0 {
		return &lacks
	}
	return nil
}

// has reports whether a bag lists a path with a sum, and has it with a size; below 0 it may
// have any.
func (r *runner) has(p *place, path string, s sum, size int64) bool {
	if is, ok := p.sum(path); !ok || is != s {
		return false
	}
	info, err := r.fsys.Lstat(filepath.Join(p.Dir, filepath.FromSlash(path)))
	return err == nil && info.Mode().IsRegular() && (size < 0 || info.Size() == size)
}

// LackingError says that a bag has not all that it is to have.
type LackingError struct {
	First string // path in the bag
	Files int    // how many there are
}

func (e *LackingError) add(path string) {
	if e.Files++; e.Files == 1 {
		e.First = path
	}
}

func (e *LackingError) Error() string {
	return "the bag has not " + count(e.Files, "file") + " that it is to have: " + e.First
}

func faults(report archive.Report) int {
	n := report.More
	for _, f := range report.Findings {
		if f.Fault {
			n++
		}
	}
	return n
}

// notWhole begins what is said of a bag that is not valid.
const notWhole = "the bag is not whole: "

// FaultyError says that a bag is not valid.
type FaultyError struct {
	First  string // what is wrong, as a sentence
	Faults int    // how many there are
}

func (e *FaultyError) Error() string {
	if e.Faults > 1 {
		return notWhole + e.First + ", and " + count(e.Faults-1, "fault") + " more"
	}
	return notWhole + e.First
}
