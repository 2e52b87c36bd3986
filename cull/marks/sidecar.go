package marks

import (
	"context"
	"encoding/json"
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/cull/handoff"
	"garner/cull/job"
	"garner/preview/xmp"
)

// Sidecar is a rating that somebody else gave: -1 for rejected, 0 to 5; fractions
// are legal.
type Sidecar struct {
	Path   string // in the job
	Rating float64
}

// method is the name under which ratings of sidecars are kept as evidence.
const method = "sidecar-rating-1"

// read is what was seen of one sidecar. Of which file it was is kept too, so that
// only those are read that changed since.
type read struct {
	Path   string
	Size   int64
	Mod    int64 // nanoseconds since 1970
	Rating float64
	Rated  bool // there is a rating, and it is none that we wrote
}

// maxSidecar bounds what is read of a sidecar, in bytes.
const maxSidecar = 4 << 20

// Refresh reads those sidecars of some frames of the job that came or changed since
// the last time. A rating that a handoff of ours wrote is no mark; one that it
// replaced stays known.
func Refresh(ctx context.Context, j *job.Job, frames iter.Seq[cull.Frame]) error {
	old, err := load(j)
	if err != nil {
		return err
	}
	var ours *handoff.Ours // read when the first sidecar is
	changed := map[cull.ID][]byte{}
	for f := range frames {
		if err := ctx.Err(); err != nil {
			return err
		}
		was, now := old[f.ID], []read(nil)
		for _, file := range f.Files {
			if file.Role == cull.RoleSidecar {
				r, known := seen(file, was)
				if !known {
					if ours == nil {
						if ours, err = handoff.OursIn(j); err != nil {
							return err
						}
					}
					look(&r, j.Root(), f.ID, was, ours)
				}
				now = append(now, r)
			}
		}
		if !slices.Equal(was, now) {
			if changed[f.ID], err = json.Marshal(now); err != nil {
				return err
			}
		}
	}
	if len(changed) == 0 {
		return nil
	}
	return j.PutEvidence(method, changed)
}

// seen is what was seen of a sidecar; not known if it came or changed since.
func seen(file cull.File, was []read) (r read, known bool) {
	r = read{Path: file.Path, Size: file.Size, Mod: file.Mod.UnixNano()}
	for _, o := range was {
		if o.Path == r.Path && o.Size == r.Size && o.Mod == r.Mod {
			return o, true
		}
	}
	return r, false
}

// look reads a sidecar. What a handoff of this job wrote is not somebody's rating; nor
// is, where no handoff is known to have written there, a rating in the form in which
// handoffs write them: it came from another copy of the job, or its memory is gone.
func look(r *read, root string, id cull.ID, was []read, ours *handoff.Ours) {
	content := contentOf(filepath.Join(root, filepath.FromSlash(r.Path)))
	if r.Rating, r.Rated = xmp.ReadRating(content); !r.Rated {
		return
	}
	mine, known := ours.Rating(id, r.Path, content)
	if known && (mine == nil || r.Rating != float64(*mine)) {
		return
	}
	if !known && !handoff.Judged(content) {
		return
	}
	r.Rating, r.Rated = 0, false
	for _, o := range was { // what it said before it was ours
		if o.Path == r.Path {
			r.Rating, r.Rated = o.Rating, o.Rated
		}
	}
}

// contentOf reads a sidecar; one that cannot be read, or is none, states nothing.
func contentOf(path string) []byte {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() || info.Size() > maxSidecar {
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, maxSidecar))
	if err != nil {
		return nil
	}
	return b
}

// Sidecars returns the ratings in sidecars as they were last read.
func Sidecars(j *job.Job) (map[cull.ID]Sidecar, error) {
	all, err := load(j)
	if err != nil {
		return nil, err
	}
	out := map[cull.ID]Sidecar{}
	for id, list := range all {
		for _, r := range slices.Backward(list) { // of several the first by its path
			if r.Rated {
				out[id] = Sidecar{r.Path, r.Rating}
			}
		}
	}
	return out, nil
}

// load returns what was seen; a record that makes no sense counts as none.
func load(j *job.Job) (map[cull.ID][]read, error) {
	blobs, err := j.Evidence(method)
	if err != nil {
		return nil, err
	}
	all := make(map[cull.ID][]read, len(blobs))
	for id, b := range blobs {
		var list []read
		if json.Unmarshal(b, &list) == nil {
			all[id] = list
		}
	}
	return all, nil
}
