package prepare

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/marks"
	"garner/cull/scan"
)

// Scan is the first part of Run by itself: it finds the frames and saves them,
// with letters and in an order by time, so that they can be decided on before
// there are pictures.
func Scan(ctx context.Context, j *job.Job) (Summary, error) {
	o := Options{}.withDefaults()
	r := &run{o: o, j: j, began: o.Now(), fresh: map[cull.ID]bool{}}
	err := r.scan(ctx)
	r.sum.Took = o.Now().Sub(r.began)
	return r.sum, err
}

// scan takes what there is in the folder into the job.
func (r *run) scan(ctx context.Context) error {
	known, err := r.j.Frames()
	if err != nil {
		return err
	}
	o, err := r.scanOptions(known)
	if err != nil {
		return err
	}
	res, err := scan.Scan(ctx, r.j.Root(), o)
	if err != nil {
		return err
	}
	return r.found(ctx, known, res)
}

// scanOptions are what a scan has to know beforehand.
func (r *run) scanOptions(known map[cull.ID]cull.Frame) (scan.Options, error) {
	damaged, err := r.j.Damaged()
	if err != nil {
		return scan.Options{}, err
	}
	protected, err := r.j.Protected()
	return scan.Options{Known: known, Damaged: damaged, Protected: protected, Progress: r.scanning}, err
}

func (r *run) scanning(done, total int) {
	r.o.Progress(Progress{Stage: Scanning, Done: done, Total: total})
}

// found saves what a scan of the whole folder found, gives letters, and puts
// the frames in order.
func (r *run) found(ctx context.Context, known map[cull.ID]cull.Frame, res scan.Result) (err error) {
	unprove(known, res)
	r.frames = res.Frames
	if err := r.save(ctx, res); err != nil {
		return err
	}
	r.sum.Frames, r.sum.New, r.sum.Gone = len(res.Frames), len(r.fresh), len(res.Gone)
	r.sum.Others, r.sum.Unseen = len(res.Others), len(res.Unseen)
	if n := len(res.Unseen); n > 0 {
		r.warn(fmt.Sprintf("frames in folders that cannot be read: %d; they stay as they were", n))
	}
	r.letters, err = giveLetters(r.j, res.Frames)
	if errors.Is(err, job.ErrJournal) { // they are kept all the same
		r.warn(err.Error())
	} else if err != nil {
		return err
	}
	r.sum.Bodies = len(res.Bodies)
	if err := r.order(); err != nil {
		return err
	}
	if err := marks.Refresh(ctx, r.j, slices.Values(res.Frames)); err != nil {
		return err
	}
	return r.j.SetScanned(true)
}

// unprove takes the fingerprint from frames with a picture file written since
// it was known: pictures made from it say nothing any more, and without a
// fingerprint they are made again, if need be by a later run. The head that is
// in the keys of the cache need not show such a change.
func unprove(known map[cull.ID]cull.Frame, res scan.Result) {
	for i := range res.Frames {
		f := &res.Frames[i]
		old := known[f.ID]
		if slices.ContainsFunc(f.Files, func(now cull.File) bool {
			return now.Role != cull.RoleSidecar && now.Role != cull.RoleVoice && !slices.ContainsFunc(old.Files, func(was cull.File) bool {
				return was.Head == now.Head && was.Size == now.Size && was.Mod.Equal(now.Mod) || now.Role == cull.RoleSmall && standsFor(now, was)
			})
		}) {
			f.Fingerprint, f.HasFingerprint, f.Luma = 0, false, 0
		}
	}
}

// standsFor reports whether a small picture was made of a file, or both were of one.
func standsFor(now, was cull.File) bool {
	size, head := was.Content()
	return size == now.Of.Size && head == now.Of.Head
}

// saveBatch is how many frames share one commit.
const saveBatch = 1000

// save writes what a scan found. Frames whose files are gone come first: one
// that is now known by another name gives its decisions to the new one then.
func (r *run) save(ctx context.Context, res scan.Result) error {
	if len(res.Gone) > 0 {
		gone := map[cull.ID][]cull.File{}
		for _, id := range res.Gone {
			gone[id] = nil
		}
		if err := r.j.ReplaceFiles(gone); err != nil {
			return fmt.Errorf("frames without files: %w", err)
		}
	}
	frames, err := r.saveFrames(ctx, res)
	if err != nil {
		return err
	}
	others := make([]job.Other, len(res.Others))
	for i, other := range res.Others {
		others[i] = job.Other(other)
	}
	if err := r.j.SaveOthers(others); err != nil {
		return err
	}
	if len(res.Gone) > 0 {
		frames = nil
	}
	r.o.Saved(Saved{Frames: frames})
	return nil
}

// saveFrames writes the frames that a scan found changed, and the bodies, and
// returns the frames.
func (r *run) saveFrames(ctx context.Context, res scan.Result) ([]cull.Frame, error) {
	changed := map[cull.ID]bool{}
	for _, id := range res.Changed {
		changed[id], r.fresh[id] = true, true
	}
	frames := make([]cull.Frame, 0, len(changed))
	for _, f := range res.Frames {
		if changed[f.ID] {
			frames = append(frames, f)
		}
	}
	for batch := range slices.Chunk(frames, saveBatch) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := r.j.SaveFrames(batch); err != nil {
			return nil, err
		}
	}
	return frames, r.j.SaveBodies(res.Bodies)
}
