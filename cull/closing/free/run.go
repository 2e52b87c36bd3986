package free

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/preview/small"
	"garner/store"
	"garner/store/vfs"
)

// Summary is what became of a plan.
type Summary struct {
	Freed  int
	Bytes  int64 // that the originals took
	Kept   int64 // that their small pictures take in the job
	Stayed []Stay
	Back   []string // originals that lay aside since an interruption and got their names back
}

// Faults counts what stayed because something is wrong.
func (s Summary) Faults() (n int) {
	for _, x := range s.Stayed {
		if x.Why.Fault() {
			n++
		}
	}
	return n
}

// Free carries the plan out: the job is claimed, so that nobody decides meanwhile, each
// bag is read whole, and one original after the other is proved and removed. An error
// means that the work ended early; Summary says what was done by then, which stands.
func (w *Work) Free(ctx context.Context) (sum Summary, err error) {
	claim, err := w.job.Claim()
	if err != nil {
		return sum, err
	}
	defer func() { err = errors.Join(err, claim.Release()) }()
	if err := w.Refused(); err != nil {
		return sum, err
	}
	if err := w.prove(ctx); err != nil {
		return sum, err
	}
	r := &run{Work: w, sum: &sum, room: &room{w.o.FS, w.job.Root(), map[string]bool{}}}
	if r.manifest, err = w.job.Manifest(); err != nil {
		return sum, err
	}
	if sum.Back, err = mend(w.job, w.o.enter); err != nil {
		return sum, err
	}
	defer func() { err = errors.Join(err, r.follow(context.WithoutCancel(ctx))) }()
	freed, err := w.job.Freed()
	if err != nil {
		return sum, err
	}
	for i, f := range w.Go {
		if was, noted := freed[f.Path]; noted && was.Sum == job.Sum(f.Sum) && r.away(f.Path) {
			continue // it went in a run that was killed before the catalogue knew
		}
		if ctx.Err() != nil {
			return sum, ctx.Err()
		}
		w.o.Progress(Progress{Files: i, OfFiles: len(w.Go), Bytes: sum.Bytes, OfBytes: w.Bytes()})
		stay, err := r.one(ctx, f)
		switch {
		case err != nil:
			return sum, err
		case stay == nil:
			sum.Freed++
			sum.Bytes += f.Bytes
			w.o.Gone(f)
		case ctx.Err() == nil: // else it stays because nobody went on
			sum.Stayed = append(sum.Stayed, *stay)
			w.o.Stays(*stay)
		}
	}
	return sum, ctx.Err()
}

// prove reads the bags whole, and asks once more for finished pictures.
func (w *Work) prove(ctx context.Context) error {
	journal, err := w.job.JournalText()
	if err != nil {
		return err
	}
	for _, b := range w.bags {
		if err := b.check(ctx, w.o, journal); err != nil {
			return err
		}
	}
	if _, err = w.known(ctx); err != nil {
		return err
	}
	return w.Refused()
}

// run is the removing.
type run struct {
	*Work
	sum      *Summary
	manifest map[string]job.Sum // of the job's originals
	room     *room
}

// one proves a file and removes it. It returns why it stays, or nil when it is gone.
func (r *run) one(ctx context.Context, f File) (*Stay, error) {
	stays := func(why Why, err error) *Stay {
		s := &Stay{Path: f.Path, Frame: f.Frame, Bytes: f.Bytes, Why: why}
		if err != nil {
			s.What = store.Reason(err)
		}
		return s
	}
	frame, why, err := r.again(f)
	if err != nil || why != goes {
		return stays(why, nil), err
	}
	dir, name, err := r.o.enter(r.job.Root(), f.Path)
	if err != nil {
		return stays(refusal(err), err), nil
	}
	defer dir.Close()
	h, err := hold(dir, name, f.Path)
	if err != nil {
		return stays(refusal(err), err), nil
	}
	defer h.close()
	if why, err := r.provenOriginal(ctx, h, f); err != nil {
		return stays(why, err), nil
	}
	picture, why, err := r.provenPicture(ctx, h, f, frame)
	if err != nil {
		return stays(why, err), nil
	}
	if _, why, err := r.again(f); err != nil || why != goes {
		return stays(why, nil), err
	}
	if why, err := letGo(r.room, h, picture, func() error {
		_, err := r.job.Append(job.Freed(f.Path, job.FreedFile{Frame: f.Frame, Sum: job.Sum(f.Sum), Bytes: f.Bytes}))
		return err
	}); err != nil {
		return stays(why, err), nil
	}
	r.sum.Kept += int64(len(picture))
	return nil, nil
}

// refusal tells a file that cannot be had from one that the rules keep.
func refusal(err error) Why {
	switch {
	case errors.Is(err, errNames):
		return Shared
	case errors.Is(err, errLink), errors.Is(err, errSwap), errors.Is(err, store.ErrNotRegular):
		return Differs
	}
	return Unread
}

// provenOriginal reads the original whole: it is the one that was archived, and the one
// that was offloaded.
func (r *run) provenOriginal(ctx context.Context, h *original, f File) (Why, error) {
	if h.size() != f.Bytes {
		return Differs, errors.New("its size is another one")
	}
	sum, err := h.sum(ctx)
	if err != nil {
		return Unread, err
	}
	if sum != f.Sum {
		return Differs, errors.New("its bytes are not those that were archived")
	}
	if listed, ok := r.manifest[f.Path]; ok && sum != [32]byte(listed) {
		return Differs, errors.New("its bytes are not those of the job's manifest")
	}
	return goes, nil
}

// provenPicture proves what stays of the file in every bag, and returns the small
// picture that the job gets.
func (r *run) provenPicture(ctx context.Context, h *original, f File, frame cull.Frame) (picture []byte, why Why, err error) {
	inside, about, err := small.Of(ctx, h.file, h.size())
	switch {
	case err != nil && f.Kept:
		return nil, NoPicture, err
	case err != nil: // there is one in the bags, so there was one in it
		return nil, Unread, err
	}
	for i, b := range r.bags {
		if f.Kept {
			if err := b.hasOriginal(ctx, r.o.FS, h, f, f.bags[i]); err != nil {
				return nil, Unproved, err
			}
			continue
		}
		data, err := b.read(r.o.FS, f.bags[i])
		if err != nil {
			return nil, Unproved, err
		}
		o, err := stands(data, f, frame)
		if err == nil {
			err = shows(inside, data, o)
		}
		if err != nil {
			return nil, Unproved, store.Wrap("read", b.file(f.bags[i]), err)
		}
		if picture == nil {
			picture = data
		}
	}
	if f.Kept {
		if picture, err = r.retired(inside, about, f, frame); err != nil {
			return nil, NoPicture, err
		}
	}
	return picture, goes, nil
}

// follow lets catalogue and manifest follow what was freed, in this run or in one that
// was killed before it could.
func (r *run) follow(ctx context.Context) error {
	freed, err := r.job.Freed()
	if err != nil {
		return err
	}
	gone, added, stale := map[string]string{}, map[string]job.Sum{}, len(r.sum.Back) > 0
	paths, err := r.job.Paths()
	if err != nil {
		return err
	}
	proven, err := r.provenBefore()
	if err != nil {
		return err
	}
	for p := range freed {
		if !r.away(p) {
			continue
		}
		if _, listed := r.manifest[p]; listed {
			gone[p] = ""
		}
		stays := cull.SmallPath(p)
		if _, known := paths[stays]; !known {
			stale = true
		}
		_, known := r.manifest[stays]
		if known && !proven.waits(p) {
			continue
		}
		if sum, err := sumOf(ctx, vfs.OS{}, r.abs(stays)); err == nil {
			if !known {
				added[stays] = sum
			}
			proven.move(r, p, sum)
		}
	}
	if err := proven.save(r.job); err != nil {
		return err
	}
	if stale {
		if _, err := prepare.Scan(ctx, r.job); err != nil {
			return err
		}
	}
	if len(r.manifest) == 0 { // the job never had one
		return nil
	}
	if len(gone) > 0 {
		if err := r.job.RenameManifest(gone); err != nil {
			return err
		}
	}
	if len(added) > 0 {
		return r.job.RecordManifest(added)
	}
	return nil
}

// away reports whether nothing has a path of the job.
func (w *Work) away(p string) bool {
	_, err := os.Lstat(w.abs(p))
	return errors.Is(err, fs.ErrNotExist)
}

func (w *Work) abs(p string) string { return filepath.Join(w.job.Root(), filepath.FromSlash(p)) }
