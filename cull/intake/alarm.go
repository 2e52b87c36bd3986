package intake

import (
	"path"
	"strings"

	"garner/cull"
	"garner/cull/gaps"
	"garner/cull/intake/plan"
	"garner/cull/job"
)

// knownShot is what an alarm needs to know of a frame.
type knownShot struct {
	body  string // its key
	taken cull.Stamp
}

// alarms looks for cards that seem to be missing, over everything that the job has
// now: what the catalogue knows, and what was taken in.
func (r *run) alarms(j *job.Job) ([]string, error) {
	frames, err := j.Frames()
	if err != nil {
		return nil, err
	}
	bodies, err := j.Bodies()
	if err != nil {
		return nil, err
	}
	letter := map[string]string{}
	at := map[string]int{}
	for i, b := range bodies {
		letter[b.Key], at[b.Key] = b.Letter, i
	}
	var shots []gaps.Shot
	seen := map[string]bool{}
	add := func(p string, e knownShot) {
		stem := strings.TrimSuffix(p, path.Ext(p))
		if seen[stem] || letter[e.body] == "" {
			return
		}
		seen[stem] = true
		shots = append(shots, gaps.Shot{Body: letter[e.body], Stem: path.Base(stem), At: bodies[at[e.body]].Correct(e.taken).Wall})
	}
	for _, f := range frames {
		if len(f.Files) > 0 {
			add(f.Files[0].Original(), knownShot{f.Body, f.Taken})
		}
	}
	for _, h := range r.index.have {
		if h.Shot.Known() && !h.Aside {
			add(h.Path, knownShot{h.Shot.Body.Key, h.Shot.Taken})
		}
	}
	for i, step := range r.carrier.plan.Steps {
		f := r.sources[step.Source].plan.Files[step.File]
		if st := r.carrier.out[i].State; f.Shot.Known() && (st == Copied || st == Known) && step.Action != plan.Leave {
			add(r.carrier.out[i].To, knownShot{f.Shot.Body.Key, f.Shot.Taken})
		}
	}
	var out []string
	for _, a := range gaps.Find(shots, gaps.Options{}) {
		out = append(out, a.Text())
	}
	return out, nil
}
