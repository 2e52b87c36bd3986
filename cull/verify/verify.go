// Package verify holds a job's files against its manifest of SHA-256 sums and
// the catalogue against itself. It also records the manifest of a folder that
// was not copied by garner, so that later damage can be seen.
//
// It only reads the originals. A file that was moved or renamed inside the job
// is known again by its sum and its manifest line follows it.
package verify

import (
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/cull/job"
)

// State says what became of one file.
type State string

// The states of a file. Missing is in the manifest and gone; New is in the job
// and not in the manifest.
const (
	Same       State = "same"
	Changed    State = "changed"
	Missing    State = "missing"
	Moved      State = "moved"
	New        State = "new"
	Recorded   State = "recorded"
	Unreadable State = "unreadable"
)

// Line is one file that is not the same.
type Line struct {
	Path   string // job-relative
	State  State
	Reason string // the old path of a moved file, the error of an unreadable one
}

// Options steer one run.
type Options struct {
	Record   bool // take new files into the manifest
	Line     func(Line)
	Progress func(files, total int, bytes, all int64)
}

// Summary counts the files by state and lists what is wrong in the catalogue.
type Summary struct {
	Files     map[State]int
	Bytes     int64
	Catalogue []string
}

// Bad counts what verification found wrong. A new file is not wrong.
func (s Summary) Bad() int {
	return s.Files[Changed] + s.Files[Missing] + s.Files[Unreadable] + len(s.Catalogue)
}

// Run reads every original whole. It can be interrupted: what was recorded by
// then is in the manifest.
func Run(ctx context.Context, j *job.Job, o Options) (sum Summary, err error) {
	sum.Files = map[State]int{}
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
	r := &run{ctx: ctx, job: j, o: o, sum: &sum, manifest: manifest, fresh: map[string]job.Sum{}}
	err = r.files(files)
	if len(r.fresh) > 0 && o.Record {
		err = errors.Join(err, j.RecordManifest(r.fresh))
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

func (r *run) files(files map[string]int64) error {
	paths := slices.Sorted(maps.Keys(files))
	for p := range r.manifest {
		if _, ok := files[p]; !ok {
			// In the manifest but unknown to the catalogue: a clip, or gone.
			if _, err := os.Lstat(r.abs(p)); err == nil {
				paths = append(paths, p)
			}
		}
	}
	slices.Sort(paths)
	var all int64
	for _, size := range files {
		all += size
	}
	for i, p := range paths {
		if r.o.Progress != nil {
			r.o.Progress(i, len(paths), r.sum.Bytes, all)
		}
		if err := r.one(p); err != nil {
			return err
		}
	}
	return r.absent()
}

// one reads a file whole and compares it.
func (r *run) one(p string) error {
	sum, n, err := sumFile(r.ctx, r.abs(p))
	r.sum.Bytes += n
	want, listed := r.manifest[p]
	switch {
	case r.ctx.Err() != nil:
		return r.ctx.Err()
	case errors.Is(err, fs.ErrNotExist):
		if !listed {
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
			r.tell(Line{Path: p, State: Missing})
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
	if r.o.Line != nil {
		r.o.Line(l)
	}
}

// sumFile is the SHA-256 of a whole file.
func sumFile(ctx context.Context, path string) (sum job.Sum, n int64, err error) {
	f, err := os.Open(path)
	if err != nil {
		return sum, 0, err
	}
	defer f.Close()
	h := sha256.New()
	buf := make([]byte, 1<<20)
	for {
		if err := ctx.Err(); err != nil {
			return sum, n, err
		}
		k, err := f.Read(buf)
		h.Write(buf[:k])
		n += int64(k)
		if err == io.EOF {
			h.Sum(sum[:0])
			return sum, n, nil
		}
		if err != nil {
			return sum, n, err
		}
	}
}

func reason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Op + ": " + pe.Err.Error()
	}
	return err.Error()
}
