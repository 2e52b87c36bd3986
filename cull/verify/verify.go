// Package verify holds a job's files against its manifest of SHA-256 sums and
// the catalogue against itself, and does the same for every folder that the job
// was copied to and that can be reached, each against its own manifest. It also
// records the manifest of a folder that was not copied by garner, so that later
// damage can be seen.
//
// It only reads the originals, past the system's cache where the system can, so
// that it is the medium that is asked. A file that was moved or renamed inside the
// job is known again by its sum and its manifest line follows it. An original that was
// freed is not missed, if it was the one that manifest or catalogue tell of. Sidecars as they
// came from the cards are listed apart: editors and handoff change them on purpose.
package verify

import (
	"context"
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/cull/job"
	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
)

// State says what became of one file.
type State string

// The states of a file. Missing is in the manifest and gone; New is in the job
// and not in the manifest; Freed is gone on purpose, as the journal says. Files that
// are the same, and those that were freed, are counted and not told.
const (
	Same       State = "same"
	Changed    State = "changed"
	Missing    State = "missing"
	Moved      State = "moved"
	New        State = "new"
	Recorded   State = "recorded"
	Unreadable State = "unreadable"
	Freed      State = "freed"
)

// Line is one file that is not the same.
type Line struct {
	Path    string // relative to the job, or to Place
	Place   string // the other folder that it is in; "" = the job
	Sidecar bool   // as it came from the card: it may have changed
	State   State
	Reason  string // the old path of a moved file, the error of an unreadable one
}

// Options steer one run.
type Options struct {
	Record   bool // take new files into the manifest
	Line     func(Line)
	Progress func(files, total int, bytes, all int64)
}

// Summary counts the files of the job by state, says how the other places are, and
// lists what is wrong in the catalogue.
type Summary struct {
	Files       map[State]int
	Sidecars    map[State]int // as they came from the cards
	Bytes       int64         // read, everywhere
	Cached      int           // files that could not be read past the system's cache
	Catalogue   []string
	NoCatalogue bool // there is none, and only files were compared
	Places      []Place
}

// Place is another folder that everything went to.
type Place struct {
	Path      string
	Reachable bool
	Files     map[State]int
	Sidecars  map[State]int
	Lacks     int    // files of the job's manifest that its own does not list
	Fault     string // why its files could not be compared; "" = they were
}

// Bad counts what verification found wrong. A new file is not wrong, nor is a
// sidecar that was changed or is gone, nor a folder that is not there now.
func (s Summary) Bad() int {
	n := bad(s.Files) + s.Sidecars[Unreadable] + len(s.Catalogue)
	for _, p := range s.Places {
		n += bad(p.Files) + p.Sidecars[Unreadable]
		if p.Fault != "" {
			n++
		}
	}
	return n
}

func bad(files map[State]int) int { return files[Changed] + files[Missing] + files[Unreadable] }

// Run reads every original whole, here and in the job's other folders. It can be
// interrupted: what was recorded by then is in the manifest.
func Run(ctx context.Context, j *job.Job, o Options) (sum Summary, err error) {
	sum.Files, sum.Sidecars = map[State]int{}, map[State]int{}
	if sum.Catalogue, err = j.Check(); err != nil {
		return sum, err
	}
	manifest, err := j.Manifest()
	if err != nil {
		return sum, err
	}
	files, err := originals(j)
	if err != nil {
		return sum, err
	}
	freed, err := j.Freed()
	if err != nil {
		return sum, err
	}
	r := &run{ctx: ctx, job: j, o: o, sum: &sum, manifest: manifest, fresh: map[string]job.Sum{}}
	r.letGo(freed, files)
	here, err := sidecarsOf(j.Root(), j.StateDir())
	if err != nil {
		return sum, err
	}
	others, err := r.places()
	if err != nil {
		return sum, err
	}
	paths := r.paths(files)
	r.expect(j.Root(), paths)
	r.expect(j.Root(), slices.Collect(maps.Keys(here.sums)))
	for _, p := range others {
		r.expect(p.root, slices.Collect(maps.Keys(p.sums)))
	}
	err = r.files(paths)
	if len(r.fresh) > 0 && o.Record {
		err = errors.Join(err, j.RecordManifest(r.fresh))
	}
	if err == nil {
		err = r.compare(here, "", sum.Sidecars)
	}
	for _, p := range others {
		if err == nil {
			err = r.compare(p, p.root, p.counts)
		}
	}
	return sum, err
}

type run struct {
	ctx      context.Context
	job      *job.Job
	o        Options
	sum      *Summary
	manifest map[string]job.Sum
	fresh    map[string]job.Sum // read, and not in the manifest
	freed    map[string]bool    // gone on purpose
	small    map[string]bool    // pictures that stay of what was freed: no other folder has them

	done, total int   // files
	all         int64 // bytes
}

// letGo notes what is gone because it was freed. Of a path that holds something again
// the journal's line says nothing, nor of another file than the one that was known.
func (r *run) letGo(freed map[string]job.FreedFile, files map[string]int64) {
	r.freed, r.small = map[string]bool{}, map[string]bool{}
	for p, f := range freed {
		r.small[cull.SmallPath(p)] = true
		sum, listed := r.manifest[p]
		size, known := files[p]
		if _, err := os.Lstat(r.abs(p)); errors.Is(err, fs.ErrNotExist) && (!listed || sum == f.Sum) && (!known || size == f.Bytes) {
			r.freed[p] = true
			r.sum.Files[Freed]++
		}
	}
}

// originals are the paths and sizes of the camera's files: those of the frames
// but for their sidecars, which are meant to change.
func originals(j *job.Job) (map[string]int64, error) {
	frames, err := j.Frames()
	if err != nil {
		return nil, err
	}
	files := map[string]int64{}
	for _, f := range frames {
		for _, file := range f.Files {
			if file.Role != cull.RoleSidecar {
				files[file.Path] = file.Size
			}
		}
	}
	return files, nil
}

// paths are the files to be read in the job: its originals, and what the manifest
// lists besides and is there, such as a clip.
func (r *run) paths(files map[string]int64) []string {
	paths := slices.Collect(maps.Keys(files))
	for p := range r.manifest {
		if _, ok := files[p]; !ok {
			if _, err := os.Lstat(r.abs(p)); err == nil {
				paths = append(paths, p)
			}
		}
	}
	slices.Sort(paths)
	return paths
}

func (r *run) files(paths []string) error {
	for _, p := range paths {
		if err := r.one(p); err != nil {
			return err
		}
	}
	return r.absent()
}

// expect adds files to what there is to do, for the progress.
func (r *run) expect(root string, paths []string) {
	for _, p := range paths {
		r.total++
		if info, err := os.Stat(filepath.Join(root, filepath.FromSlash(p))); err == nil {
			r.all += info.Size()
		}
	}
}

// read gives a file's sum.
func (r *run) read(root, p string) (job.Sum, error) {
	if r.o.Progress != nil {
		r.o.Progress(r.done, r.total, r.sum.Bytes, r.all)
	}
	r.done++
	local := filepath.FromSlash(p)
	if !filepath.IsLocal(local) {
		return job.Sum{}, errOutside
	}
	c, err := copy.ReadBack(r.ctx, vfs.OS{}, filepath.Join(root, local))
	r.sum.Bytes += c.Size
	if err == nil && !c.Bypassed {
		r.sum.Cached++
	}
	return job.Sum(c.Sum), err
}

var errOutside = errors.New("its path leads out of the folder")

// one reads a file whole and compares it.
func (r *run) one(p string) error {
	sum, err := r.read(r.job.Root(), p)
	want, listed := r.manifest[p]
	switch {
	case r.ctx.Err() != nil:
		return r.ctx.Err()
	case errors.Is(err, fs.ErrNotExist):
		if !listed && !r.freed[p] {
			r.tell(Line{Path: p, State: Missing, Reason: "the catalogue knows it; prepare looks again"})
		}
		return nil // listed ones are told by absent, which knows what moved
	case err != nil:
		r.tell(Line{Path: p, State: Unreadable, Reason: reason(err)})
	case !listed:
		r.fresh[p] = sum
	case sum != want:
		r.tell(Line{Path: p, State: Changed, Reason: "its bytes are not those of the manifest"})
	default:
		r.sum.Files[Same]++
	}
	return nil
}

// absent settles what the manifest lists and nobody found: moved where a new
// file has its sum, else missing; and what is new.
func (r *run) absent() error {
	bySum := map[job.Sum]string{}
	for _, p := range slices.Backward(slices.Sorted(maps.Keys(r.fresh))) {
		bySum[r.fresh[p]] = p
	}
	moved := map[string]string{}
	for _, p := range slices.Sorted(maps.Keys(r.manifest)) {
		if _, err := os.Lstat(r.abs(p)); err == nil {
			continue
		}
		to, ok := bySum[r.manifest[p]]
		if !ok {
			if !r.freed[p] {
				r.tell(Line{Path: p, State: Missing})
			}
			continue
		}
		moved[p] = to
		delete(bySum, r.manifest[p])
		delete(r.fresh, to)
		r.tell(Line{Path: to, State: Moved, Reason: p})
	}
	for _, p := range slices.Sorted(maps.Keys(r.fresh)) {
		if r.o.Record {
			r.tell(Line{Path: p, State: Recorded})
		} else {
			r.tell(Line{Path: p, State: New})
		}
	}
	if len(moved) > 0 {
		return r.job.RenameManifest(moved)
	}
	return nil
}

func (r *run) abs(p string) string { return filepath.Join(r.job.Root(), filepath.FromSlash(p)) }

func (r *run) tell(l Line) {
	r.sum.Files[l.State]++
	r.line(l)
}

func (r *run) line(l Line) {
	if r.o.Line != nil {
		r.o.Line(l)
	}
}

func reason(err error) string {
	var e *store.Error
	if errors.As(err, &e) {
		return e.Op + ": " + e.Err.Error()
	}
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Op + ": " + pe.Err.Error()
	}
	return err.Error()
}
