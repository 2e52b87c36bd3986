package prepare

import (
	"context"
	"time"

	"garner/cull"
	"garner/cull/scan"
)

const (
	// earlyFiles is how many picture files the first look at a folder reads: few,
	// so that there is something to decide at once.
	earlyFiles = 100
	// A part of a long scan is saved when it is this old, and no sooner than this
	// share of the time that the parts before it took: every part costs a walk.
	partAge   = 2 * time.Second
	partShare = 8
)

// scanInParts is scan for a folder in which much is new: it saves a first part
// at once and further parts while reading takes long, so that deciding can begin
// before it has come to its end. A part gives no letters: which body began to
// shoot is known when all files were read. What happened to known frames, and
// which files belong to none, is told at the end.
func (r *run) scanInParts(ctx context.Context) error {
	for part := 0; ; part++ {
		known, err := r.j.Frames()
		if err != nil {
			return err
		}
		o, err := r.scanOptions(known)
		if err != nil {
			return err
		}
		began := r.o.Now()
		o.Enough = func(read, left int) bool {
			switch {
			case left < 2*earlyFiles:
				return false
			case part == 0:
				return read >= earlyFiles
			}
			return r.o.Now().Sub(began) >= max(partAge, began.Sub(r.began)/partShare)
		}
		res, err := scan.Scan(ctx, r.j.Root(), o)
		if err != nil {
			return err
		}
		if res.Left == 0 {
			return r.found(ctx, known, res)
		}
		if err := r.foundPart(ctx, known, res); err != nil {
			return err
		}
	}
}

// foundPart saves a part of the frames, in an order that will not last.
func (r *run) foundPart(ctx context.Context, known map[cull.ID]cull.Frame, res scan.Result) error {
	unprove(known, res)
	if err := r.j.SetScanned(false); err != nil {
		return err
	}
	frames, err := r.saveFrames(ctx, res)
	if err != nil {
		return err
	}
	layout, err := regroup(r.j, res.Frames)
	if err != nil {
		return err
	}
	r.o.Saved(Saved{Frames: frames, Layout: layout})
	return nil
}
