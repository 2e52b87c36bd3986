package prepare

import (
	"slices"
	"time"

	"garner/cull"
	"garner/cull/group"
	"garner/cull/job"
)

// Regroup puts a job in order again, after a clock was corrected, and saves the
// order.
func Regroup(j *job.Job) error {
	all, err := j.Frames()
	if err != nil {
		return err
	}
	var frames []cull.Frame
	for _, f := range all {
		if len(f.Files) > 0 {
			frames = append(frames, f)
		}
	}
	_, err = regroup(j, frames)
	return err
}

// regroup puts frames in order and saves the order if it is not the one that is
// known. Only what happened since the order was made last is grouped anew. Another
// program may have saved more of these frames than is known here: what was saved
// since is grouped as it is saved, so that nobody need look at it again.
func regroup(j *job.Job, frames []cull.Frame) (saved bool, err error) {
	since, err := j.SinceGrouped(group.Method)
	if err != nil {
		return false, err
	}
	list, err := j.Bodies()
	if err != nil {
		return false, err
	}
	looks, err := j.Looks()
	if err != nil {
		return false, err
	}
	fresh, err := j.FramesOf(since.Frames()...)
	if err != nil {
		return false, err
	}
	bodies := map[string]cull.Body{}
	for _, b := range list {
		bodies[b.Key] = b
	}
	in := make([]group.Frame, len(frames))
	for i, f := range frames {
		if now, ok := fresh[f.ID]; ok && len(now.Files) > 0 {
			f = now
		}
		var look *cull.Look
		if l, ok := looks[f.ID]; ok && f.HasFingerprint {
			look = &l
		}
		in[i] = group.Of(f, bodies[f.Body], look)
	}
	var l cull.Layout
	old, err := j.AutoLayout()
	if err != nil || !since.Known {
		l = group.Layout(in, group.Options{})
	} else {
		l, _ = group.Update(old, in, since.Changed, group.Options{})
	}
	same := err == nil && sameLayout(old, l)
	if same && since.Nothing() {
		return false, nil // nothing to write, nothing to sync
	}
	return !same, j.SaveGrouping(l, group.Method, since)
}

func sameLayout(a, b cull.Layout) bool {
	return slices.Equal(a.Scenes, b.Scenes) && slices.EqualFunc(a.Places, b.Places, func(p, q cull.Place) bool {
		same := p.Corrected.Wall.Equal(q.Corrected.Wall)
		p.Corrected.Wall, q.Corrected.Wall = time.Time{}, time.Time{} // two forms of one time
		return same && p == q
	})
}
