package recall

import (
	"context"
	"fmt"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
)

// ofJob reads the catalogue of a job.
func ofJob(ctx context.Context, j *job.Job) (made, error) {
	loaded, err := j.Load()
	if err != nil {
		return made{}, err
	}
	looks, err := j.Looks()
	if err != nil {
		return made{}, err
	}
	m := made{about: about{Job: jobName(j.Root())}}
	bodies := map[string]int{}
	for i, b := range loaded.Bodies {
		bodies[b.Key] = i
		m.about.Bodies = append(m.about.Bodies, record.BodyOf(b))
	}
	for _, p := range loaded.Session.Passes() {
		m.about.Passes = append(m.about.Passes, p.Name)
	}
	layout := loaded.Session.Layout()
	for _, s := range layout.Scenes {
		m.about.Scenes = append(m.about.Scenes, s.Name)
	}
	for _, p := range layout.Places {
		if err := ctx.Err(); err != nil {
			return m, err
		}
		f, ok := loaded.Frames[p.Frame]
		if !ok {
			continue
		}
		e, err := entryOf(f, p, m.about.Passes, func(pass string) cull.Answer { return loaded.Session.Decision(pass, f.ID).Answer })
		if err != nil {
			return m, fmt.Errorf("the catalogue: %w", err)
		}
		e.scene, e.body, e.look = p.Scene, lookup(bodies, f.Body), looks[f.ID]
		for _, file := range f.Files {
			e.offer(file, file.Path)
		}
		bestFirst(e.files)
		m.entries = append(m.entries, e)
	}
	return m, nil
}
