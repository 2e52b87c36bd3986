package free

import (
	"context"
	"fmt"
	"slices"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/returned"
	"garner/store/vfs"
)

// Work is a plan for a job. Nothing has been proved, and nothing is held, until it is
// carried out.
type Work struct {
	Plan
	Unfinished []string // names of keepers without a finished picture, in order: nothing goes without Options.Unfinished
	Remarks    []string // what a person should know first
	Copies     []Copies // at the job's other destinations, which are left alone

	o     Options
	job   *job.Job
	bags  []*bag
	shown map[cull.ID]bool // frames of which there may be a finished picture
}

// Look makes the plan: from the job, and from what its bags say of themselves. It only
// reads, but remembers what finished pictures show.
func Look(ctx context.Context, j *job.Job, o Options) (*Work, error) {
	w := &Work{o: o.withDefaults(), job: j}
	journal, err := j.JournalText()
	if err != nil {
		return nil, err
	}
	dirs, err := w.destinations(journal)
	if err != nil {
		return nil, err
	}
	for _, dir := range dirs {
		b, err := openBag(ctx, w.o, dir, journal)
		if err != nil {
			return nil, err
		}
		w.bags = append(w.bags, b)
	}
	if err := w.apart(); err != nil {
		return nil, err
	}
	k, err := w.known(ctx)
	if err != nil {
		return nil, err
	}
	w.Plan = draw(k, w.o)
	if n, edge, of := k.reduced(w.Go); n > 0 {
		w.Remarks = append(w.Remarks, fmt.Sprintf("of %d of them a picture of %d pixels on the long edge stays, where the frame has %d", n, edge, of))
	}
	w.Copies, err = w.copies()
	return w, err
}

// known gathers what the plan is made of.
func (w *Work) known(ctx context.Context) (k known, err error) {
	if k.frames, err = w.job.Frames(); err != nil {
		return k, err
	}
	if k.answers, err = w.job.Decisions(cull.KeepPass); err != nil {
		return k, err
	}
	if k.back, err = w.job.TakenBack(); err != nil {
		return k, err
	}
	m, err := returned.Match(ctx, w.job, returned.Options{ReadOnly: w.o.DryRun})
	if err != nil {
		return k, err
	}
	name := returned.NamesOf(k.frames)
	w.Unfinished = nil
	for _, id := range m.Report.Missing {
		w.Unfinished = append(w.Unfinished, name(id))
	}
	w.shown = shown(m)
	k.shown = w.shown
	for _, b := range w.bags {
		k.bags = append(k.bags, b.testimony)
	}
	return k, nil
}

// Refused says why nothing of the plan goes: keepers have no finished picture yet, and
// nobody said that this does not matter.
func (w *Work) Refused() error {
	if len(w.Unfinished) > 0 && !w.o.Unfinished {
		return &UnfinishedError{w.Unfinished}
	}
	return nil
}

// shown are the frames that finished pictures show, or may show where that is not sure.
func shown(m *returned.Matched) map[cull.ID]bool {
	of := map[cull.ID]bool{}
	for _, t := range m.Ties {
		for _, id := range t.Frames {
			of[id] = true
		}
		if t.State == returned.Open {
			for _, id := range t.Nearest {
				of[id] = true
			}
		}
	}
	return of
}

// apart makes sure that bags are bags of their own, and that there are two on two disks
// where keepers are retired.
func (w *Work) apart() error {
	here, err := w.o.VolumeOf(w.job.Root())
	if err != nil {
		return err
	}
	elsewhere, two := false, false
	for i, b := range w.bags {
		switch {
		case vfs.Within(w.o.FS, w.job.Root(), b.dir):
			return &BagError{Dir: b.dir, Why: "lies in the job's own folder: it would go with it"}
		case vfs.Within(w.o.FS, b.dir, w.job.Root()):
			return &BagError{Dir: b.dir, Why: "holds the job's folder: no bag is written like that"}
		}
		for _, c := range w.bags[:i] {
			if vfs.Within(w.o.FS, b.dir, c.dir) || vfs.Within(w.o.FS, c.dir, b.dir) {
				return &BagError{Dir: b.dir, Why: "is the same folder as " + c.dir}
			}
			two = two || apart(b.vol, c.vol)
		}
		elsewhere = elsewhere || apart(b.vol, here)
	}
	if w.o.Retire && !two {
		return ErrNoTwoBag
	}
	if !elsewhere {
		w.Remarks = append(w.Remarks, "as far as can be told every bag lies on the disk that the job lies on: when it fails, what is freed now is lost with its small pictures")
	}
	if w.o.Unshown {
		w.Remarks = append(w.Remarks, "frames that were dropped before anybody had seen them go too")
	}
	return nil
}

// again reports whether a file is still one that may go: answers and frames are read
// anew, right before it does.
func (w *Work) again(f File) (cull.Frame, Why, error) {
	frames, err := w.job.FramesOf(f.Frame)
	if err != nil {
		return cull.Frame{}, Changed, err
	}
	answers, err := w.job.Decisions(cull.KeepPass)
	if err != nil {
		return cull.Frame{}, Changed, err
	}
	back, err := w.job.TakenBack()
	if err != nil {
		return cull.Frame{}, Changed, err
	}
	frame, ok := frames[f.Frame]
	if !ok {
		return frame, Changed, nil
	}
	i := slices.IndexFunc(frame.Files, func(x cull.File) bool { return x.Path == f.Path })
	if i < 0 {
		return frame, Changed, nil
	}
	k := known{answers: answers, back: back, shown: w.shown}
	for _, b := range w.bags {
		k.bags = append(k.bags, b.testimony)
	}
	now, why, _ := k.judge(frame, frame.Files[i], w.o)
	if why == goes && (now.Sum != f.Sum || now.Bytes != f.Bytes || now.Kept != f.Kept || !slices.Equal(now.bags, f.bags)) {
		why = Changed
	}
	return frame, why, nil
}
