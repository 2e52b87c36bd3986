package measure

import (
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/people"
	"garner/cull/prepare"
)

// wanted is what is missing of a frame.
type wanted struct {
	of                          string // prepare.DetailKey
	focus, light, faces, people bool
}

func (w wanted) any() bool { return w.focus || w.light || w.faces || w.people }

// without is what is wanted and was not done.
func (w wanted) without(did wanted) wanted {
	if did.of != w.of {
		return w
	}
	return wanted{w.of, w.focus && !did.focus, w.light && !did.light, w.faces && !did.faces, w.people && !did.people}
}

// plan is what is to be done in one round.
type plan struct {
	todo  []cull.Frame // in the order of the job
	want  map[cull.ID]wanted
	total int // frames that can be measured
}

// plan finds what is missing and was not tried by this Run.
func (r *run) plan() (plan, error) {
	p := plan{want: map[cull.ID]wanted{}}
	frames, err := r.j.Frames()
	if err != nil {
		return p, err
	}
	layout, err := r.j.AutoLayout()
	if err != nil {
		return p, err
	}
	tried, err := r.j.Tried()
	if err != nil {
		return p, err
	}
	known, err := r.j.Measures()
	if err != nil {
		return p, err
	}
	var met map[cull.ID]bool // by people
	if r.people.Load() {
		if met, err = r.store.Frames(); err != nil {
			r.withoutPeople(err)
		}
	}
	for _, f := range inOrder(frames, layout) {
		of, ok := prepare.DetailKey(f)
		if !ok || !f.CanBeShown() {
			continue
		}
		p.total++
		w := missing(of, tried[f.ID], known[f.ID])
		// Faces that were found before are described too, and described anew where they
		// are looked for anew.
		w.people = r.people.Load() && (w.faces || !met[f.ID] && len(known[f.ID].Faces.List) > 0)
		w.faces = w.faces && r.faces.Load()
		if w = w.without(r.did[f.ID]); w.any() {
			p.want[f.ID] = w
			p.todo = append(p.todo, f)
		}
	}
	return p, nil
}

// missing is what is not known of a frame and was not tried in vain.
func missing(of string, t job.Tried, m cull.Measures) wanted {
	if t.Of != of {
		return wanted{of: of, focus: true, light: true, faces: true}
	}
	lacks := func(tried, method uint8, known bool) bool { return tried != method || !known && t.Why == "" }
	return wanted{
		of:    of,
		focus: lacks(t.Focus, cull.FocusMethod, m.Focus.Method == cull.FocusMethod),
		light: lacks(t.Light, cull.LightMethod, m.Light.Method == cull.LightMethod),
		faces: lacks(t.Faces, cull.FacesMethod, m.Faces.Method == cull.FacesMethod),
	}
}

// inOrder lists the frames as the job has them in order, and those that are in none
// yet by name.
func inOrder(frames map[cull.ID]cull.Frame, l cull.Layout) []cull.Frame {
	out := make([]cull.Frame, 0, len(frames))
	placed := make(map[cull.ID]bool, len(l.Places))
	for _, p := range l.Places {
		if f, ok := frames[p.Frame]; ok && !placed[p.Frame] {
			placed[p.Frame] = true
			out = append(out, f)
		}
	}
	n := len(out)
	for id, f := range frames {
		if !placed[id] {
			out = append(out, f)
		}
	}
	slices.SortFunc(out[n:], func(a, b cull.Frame) int {
		if c := strings.Compare(a.Name, b.Name); c != 0 {
			return c
		}
		return strings.Compare(string(a.ID), string(b.ID))
	})
	return out
}

// peopleStore keeps templates: a *people.Store.
type peopleStore interface {
	Frames() (map[cull.ID]bool, error)
	Put(...people.Found) error
	Close() error
}
