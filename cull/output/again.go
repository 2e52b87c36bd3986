package output

import (
	"context"
	"encoding/hex"
	"path"
	"path/filepath"
	"strings"

	"garner/cull/job"
	"garner/preview/proofs"
	"garner/store/vfs"
)

// Found is a file of the job as it lies there.
type Found struct {
	Path    string // in the job
	Bytes   int64
	Changed int64 // nanoseconds since 1970
}

// Alone lists, of files below sets/, those that a run could not make again: what it did
// not cut, what somebody has changed since, and what was cut from a picture that is gone or
// another one now. finished are the pictures that are there. Files are read where their size
// or time is not what was seen last; of one that cannot be read nobody knows what it is.
func Alone(ctx context.Context, j *job.Job, finished, sets []Found) ([]string, error) {
	if len(sets) == 0 {
		return nil, nil
	}
	l, err := openLedger(ledgerPath(j.Root()))
	if err != nil {
		return nil, err
	}
	a := again{root: j.Root(), ledger: l, seen: openSeen(filepath.Join(j.StateDir(), seenName)), cut: map[string]record{}, pictures: map[string]bool{}}
	for _, r := range l.files {
		if r.Cut != "" {
			a.cut[path.Join(SetsFolder, r.Set, r.File)] = r
		}
	}
	there := map[string]Found{}
	for _, f := range finished {
		there[strings.TrimPrefix(f.Path, FinishedFolder+"/")] = f
	}
	var alone []string
	for _, f := range sets {
		r, cut := a.cut[f.Path]
		ok := cut && a.picture(ctx, r, there) && a.file(ctx, r, f) || !cut && isPage(f.Path) && a.page(f.Path)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !ok {
			alone = append(alone, f.Path)
		}
	}
	return alone, nil
}

// again finds out what can be made again.
type again struct {
	root         string
	ledger, seen *ledger
	cut          map[string]record // by path in the job
	pictures     map[string]bool   // whether a picture is the one that was cut, as far as it was looked at
}

// picture reports whether the picture that a file was cut from is what it was.
func (a *again) picture(ctx context.Context, r record, there map[string]Found) bool {
	at := string(r.Picture)
	if same, looked := a.pictures[at]; looked {
		return same
	}
	f, ok := there[at]
	was := a.ledger.pictures[at]
	a.pictures[at] = ok && f.Bytes == was.Bytes && (f.Changed == was.Changed || a.holds(ctx, f.Path, was.SHA256))
	return a.pictures[at]
}

// file reports whether a file of a set is as it was cut.
func (a *again) file(ctx context.Context, r record, f Found) bool {
	key := fileKey{r.Set, string(r.Picture)}
	now := record{Set: r.Set, Picture: r.Picture, File: r.File, SHA256: r.SHA256, Bytes: f.Bytes, Changed: f.Changed}
	return f.Bytes == r.Bytes && (a.seen.files[key] == now || a.holds(ctx, f.Path, r.SHA256))
}

// holds reports whether a file of the job has a sum.
func (a *again) holds(ctx context.Context, at, sum string) bool {
	f, _, err := vfs.OpenPlain(filepath.Join(a.root, filepath.FromSlash(at)))
	if err != nil {
		return false
	}
	defer f.Close()
	is, err := sumOf(ctx, f)
	return err == nil && hex.EncodeToString(is[:]) == sum
}

// isPage reports whether a path is that of a page of proofs, or of contact sheets.
func isPage(p string) bool {
	dir, name := path.Split(p)
	return dir == SetsFolder+"/"+job.ProofsSet+"/" && (name == proofs.Index || strings.HasPrefix(name, "contact-") && strings.HasSuffix(name, ".pdf"))
}

// page reports whether a page is as it was made.
func (a *again) page(at string) bool {
	f, info, err := vfs.OpenPlain(filepath.Join(a.root, filepath.FromSlash(at)))
	if err != nil {
		return false
	}
	defer f.Close()
	made, err := proofs.Made(f, info.Size())
	return err == nil && made
}
