package reopen

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/store"
)

// batch is how many frames share one commit.
const batch = 1000

// catalogue makes known what the record says and the files do not: which frames there
// were, by which ids, and what was measured of them. What the files say is read from them.
func (r *runner) catalogue() error {
	r.o.Progress(Progress{Stage: Finding, Total: r.rec.Job.Frames})
	var bodies []cull.Body
	for _, o := range r.rec.Job.Bodies {
		b, err := o.Body()
		if err != nil {
			r.failed(record.RunFolder(r.rec.Job.Run)+"/"+record.JobName, "has a body that makes no sense: "+store.Reason(err))
			continue
		}
		bodies = append(bodies, b)
	}
	if err := r.job.SaveBodies(bodies); err != nil {
		return err
	}
	// The files have no times here, so that the scan reads each of them.
	if err := r.frames(r.save); err != nil {
		return err
	}
	if _, err := prepare.Scan(r.ctx, r.job); err != nil {
		return err
	}
	pictures := prepare.OpenKnown(r.job)
	err := r.frames(func(some []line) error { return r.pictures(some, pictures) })
	if err := errors.Join(err, pictures.Close()); err != nil {
		return err
	}
	if err := prepare.Regroup(r.job); err != nil {
		return err
	}
	if err := r.job.RecordManifest(r.listed()); err != nil {
		return err
	}
	if err := r.wrote(); err != nil {
		return err
	}
	r.sum.Frames = r.rec.Job.Frames
	return r.compare()
}

// line is a frame of the record.
type line struct {
	record.Known
	thumb *record.Span // of its thumbnail; nil = there is none
}

// frames gives the frames of the record to do, some at a time.
func (r *runner) frames(do func([]line) error) error {
	var some []line
	n := 0
	for f, err := range r.rec.Frames() {
		if err != nil {
			return err
		}
		if err := r.ctx.Err(); err != nil {
			return err
		}
		k, err := f.Known()
		if err != nil {
			return fmt.Errorf("frame %s in %s: %w", f.ID, record.FramesName, err)
		}
		n++
		if some = append(some, line{k, f.Thumb}); len(some) == batch {
			if err := do(some); err != nil {
				return err
			}
			some = nil
			r.o.Progress(Progress{Stage: Finding, Done: n, Total: r.rec.Job.Frames})
		}
	}
	return do(some)
}

func (r *runner) save(some []line) error {
	var list []cull.Frame
	for _, k := range some {
		list = append(list, k.Frame)
		for _, f := range k.Frame.Files {
			r.pictured[f.Path] = f.Role != cull.RoleSidecar
		}
	}
	return r.job.SaveFrames(list)
}

// pictures takes over what was known of the pictures of frames: they are the same, or
// small pictures of the same. What was measured of faces is not taken over, whatever the
// journal says: a yes is said where it holds.
func (r *runner) pictures(some []line, to *prepare.Known) error {
	var ids []cull.ID
	for _, k := range some {
		ids = append(ids, k.Frame.ID)
	}
	now, err := r.job.FramesOf(ids...)
	if err != nil {
		return err
	}
	aliases, err := r.job.Aliases()
	if err != nil {
		return err
	}
	var list []cull.Frame
	looks, measured := map[cull.ID]cull.Look{}, map[cull.ID]job.Measured{}
	for _, k := range some {
		if err := r.ctx.Err(); err != nil {
			return err
		}
		id := k.Frame.ID
		if present, ok := aliases[id]; ok {
			id = present
		}
		f, ok := now[id]
		if !ok || slices.ContainsFunc(k.Frame.Files, func(file cull.File) bool { return r.lost[file.Path] }) {
			continue
		}
		f.Fingerprint, f.HasFingerprint, f.Luma = k.Frame.Fingerprint, k.Frame.HasFingerprint, k.Frame.Luma
		list = append(list, f)
		if k.Look.Known() {
			looks[id] = k.Look
		}
		measured[id] = measuredOf(f, k.Measures)
		if data, err := r.thumb(k.thumb); err == nil {
			to.Thumb(r.ctx, f, k.Look, data) // else prepare makes it
		}
	}
	if err := r.job.SavePictures(list, looks); err != nil {
		return err
	}
	return r.job.SaveMeasured(measured)
}

// measuredOf is what was measured of a frame, as measuring would note it: of the pixels
// that it has now, if these are as many as those that were measured. Else the numbers are
// kept until it is measured again.
func measuredOf(f cull.Frame, m cull.Measures) job.Measured {
	m.Faces = cull.Faces{}
	is := job.Measured{Measures: m}
	width, height := prepare.DetailSize(f)
	if of, ok := prepare.DetailKey(f); ok && m.Focus.Known() && m.Focus.Width == width && m.Focus.Height == height {
		is.Tried = job.Tried{Of: of, Focus: m.Focus.Method, Light: m.Light.Method}
	}
	return is
}

// thumb reads a thumbnail of the record.
func (r *runner) thumb(s *record.Span) ([]byte, error) {
	if s == nil {
		return nil, record.ErrNone
	}
	return r.rec.Thumb(*s)
}

// wrote takes over what handoffs wrote into sidecars that came as they were left.
func (r *runner) wrote() error {
	if r.rec.Job.Wrote == 0 {
		return nil
	}
	all := map[string][]byte{}
	for w, err := range r.rec.Wrote() {
		if err != nil {
			return err
		}
		p, err := w.JobPath()
		if err != nil || state(p) {
			r.failed(w.Path, "is no sidecar of the job")
			continue
		}
		if !r.lost[p] {
			all[p] = w.Values
		}
	}
	return r.job.SetWrote(all)
}

// compare says how many frames stand elsewhere than in the record: another version of
// garner may group otherwise.
func (r *runner) compare() error {
	if len(r.sum.Failed) > 0 {
		return nil // what is missing was said
	}
	l, err := r.job.Layout()
	if err != nil {
		return err
	}
	at := map[cull.ID]cull.Place{}
	for _, p := range l.Places {
		at[p.Frame] = p
	}
	names := map[int]string{}
	for _, s := range l.Scenes {
		names[s.ID] = s.Name
	}
	were := map[int]string{}
	for _, s := range r.rec.Job.Scenes {
		were[s.ID] = s.Name
	}
	aliases, err := r.job.Aliases()
	if err != nil {
		return err
	}
	moved := map[string]bool{}
	err = r.frames(func(some []line) error {
		for _, k := range some {
			id := k.Frame.ID
			if present, ok := aliases[id]; ok {
				id = present
			}
			p, ok := at[id]
			if was := k.Place; ok && (p.Moment != was.Moment || p.Kind != was.Kind || p.Series != was.Series || names[p.Scene] != were[was.Scene]) {
				moved[k.Frame.Name] = true
			}
		}
		return nil
	})
	if err == nil && len(moved) > 0 {
		first := slices.Sorted(maps.Keys(moved))[0]
		r.o.Remark(fmt.Sprintf("frames that are in another moment or scene than when the job was archived: %d, the first is %s", len(moved), first))
	}
	return err
}
