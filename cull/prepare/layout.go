package prepare

import (
	"slices"
	"time"

	"garner/cull"
	"garner/cull/group"
	"garner/cull/job"
)

// Regroup puts a job in order again, after a clock or a scene's name was
// corrected, and saves the order.
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

func regroup(j *job.Job, frames []cull.Frame) (cull.Layout, error) {
	list, err := j.Bodies()
	if err != nil {
		return cull.Layout{}, err
	}
	session, err := j.Session()
	if err != nil {
		return cull.Layout{}, err
	}
	bodies := map[string]cull.Body{}
	for _, b := range list {
		bodies[b.Key] = b
	}
	in := make([]group.Frame, len(frames))
	for i, f := range frames {
		in[i] = group.Of(f, bodies[f.Body])
	}
	layout := group.Layout(in, group.Options{SceneNames: session.SceneNames()})
	if old, err := j.Layout(); err == nil && sameLayout(old, layout) {
		return layout, nil // nothing to write, nothing to sync
	}
	return layout, j.SaveLayout(layout)
}

func sameLayout(a, b cull.Layout) bool {
	return slices.Equal(a.Scenes, b.Scenes) && slices.EqualFunc(a.Places, b.Places, func(p, q cull.Place) bool {
		same := p.Corrected.Wall.Equal(q.Corrected.Wall)
		p.Corrected.Wall, q.Corrected.Wall = time.Time{}, time.Time{} // two forms of one time
		return same && p == q
	})
}
