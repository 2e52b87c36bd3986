package recall

import (
	"context"
	"fmt"
	"strings"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/returned"
)

// ofJob reads the catalogue of a job, and finds the frames of the pictures in it that were
// given back; shown tells how far that has come.
func ofJob(ctx context.Context, j *job.Job, shown func(done, total int)) (made, error) {
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
	pictures, err := picturesIn(ctx, j, shown)
	if err != nil {
		return made{}, err
	}
	layout, left := loaded.Session.Layout(), room(maxBlob)
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
		if !e.show(pictures[f.ID], &left) {
			return m, errLong
		}
		m.entries = append(m.entries, e)
	}
	return m, nil
}

// picturesIn gives the finished pictures of each frame of a job.
func picturesIn(ctx context.Context, j *job.Job, shown func(done, total int)) (map[cull.ID][]shownAs, error) {
	m, err := returned.Match(ctx, j, returned.Options{ReadOnly: true, Progress: shown})
	if err != nil {
		return nil, err
	}
	given, err := output.AllGiven(j.Root())
	if err != nil {
		return nil, err
	}
	pictures := map[cull.ID][]shownAs{}
	for _, t := range m.Ties {
		g := given[strings.TrimPrefix(t.Path, output.FinishedFolder+"/")]
		var delivered []record.Delivered
		for _, f := range g.Files {
			delivered = append(delivered, record.Delivered(f))
		}
		p := pictureOf(t.Path, g.Number, delivered, func(path string) (string, bool) { return path, true })
		for _, id := range t.Frames {
			pictures[id] = append(pictures[id], p)
		}
	}
	return pictures, nil
}
