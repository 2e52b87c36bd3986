package handoff

import (
	"garner/cull"
	"garner/cull/job"
	"garner/store/vfs"
)

// state is everything a handoff reads before it writes.
type state struct {
	job      *job.Job
	fs       vfs.FS
	o        Options
	frames   map[cull.ID]cull.Frame
	looks    map[cull.ID]cull.Look
	measures map[cull.ID]cull.Measures
	layout   cull.Layout
	place    map[cull.ID]cull.Place
	passes   []cull.Pass
	answers  map[string]map[cull.ID]cull.Decision
	letters  map[string]string
	bodies   map[string]cull.Body // by key
	creators map[string]string    // photographers of the bodies, by key
	dates    map[cull.ID]string   // time of the frame's last journal entry as an XMP date
	mem      *memory
	names    naming
	folders  map[string][]string // names in folders, by path; read once a phase
	queue    []change
	places   map[cull.ID]place  // where keepers lie below Options.To
	earlier  map[cull.ID]place  // where they did before this handoff
	taken    map[string]bool    // their keys
	readied  map[string]error   // folders below Options.To, made or why not
	manifest map[string]job.Sum // what the originals must hold, where that was recorded
	sum      Summary
}

func read(j *job.Job, o Options, fsys vfs.FS) (*state, error) {
	s := &state{job: j, fs: fsys, o: o, place: map[cull.ID]cull.Place{}, answers: map[string]map[cull.ID]cull.Decision{},
		letters: map[string]string{}, bodies: map[string]cull.Body{}, creators: map[string]string{}, dates: map[cull.ID]string{}, folders: map[string][]string{},
		places: map[cull.ID]place{}, taken: map[string]bool{}, readied: map[string]error{}}
	s.sum.Sidecars, s.sum.Copies = map[Action]int{}, map[Action]int{}
	var err error
	if s.frames, err = j.Frames(); err != nil {
		return nil, err
	}
	if s.looks, err = j.Looks(); err != nil {
		return nil, err
	}
	if s.measures, err = j.Measures(); err != nil {
		return nil, err
	}
	session, err := j.Session()
	if err != nil {
		return nil, err
	}
	s.layout = session.Layout() // with the scenes' names
	for _, p := range s.layout.Places {
		s.place[p.Frame] = p
		if t := session.Touched(p.Frame); !t.IsZero() {
			s.dates[p.Frame] = xmpDate(t)
		}
	}
	s.passes = session.Passes()
	for _, p := range s.passes {
		s.answers[p.Name] = session.Decisions(p.Name)
	}
	bodies, err := j.Bodies()
	if err != nil {
		return nil, err
	}
	for _, b := range bodies {
		s.bodies[b.Key] = b
		s.letters[b.Key], s.creators[b.Key] = b.Letter, j.Settings().Photographer(b)
	}
	if s.manifest, err = j.Manifest(); err != nil {
		return nil, err
	}
	s.names = newNaming(s.frames, o.Style)
	s.mem, err = remembered(j, s.passes)
	return s, err
}

// scene is the scene of a frame; the zero Scene where the layout has none.
func (s *state) scene(id cull.ID) cull.Scene {
	if p, ok := s.place[id]; ok && p.Scene >= 0 && p.Scene < len(s.layout.Scenes) {
		return s.layout.Scenes[p.Scene]
	}
	return cull.Scene{}
}

// tell counts and reports one line.
func (s *state) tell(l Line) {
	if l.Copy != "" {
		s.sum.Copies[l.Action]++
	} else {
		s.sum.Sidecars[l.Action]++
	}
	if s.o.Line != nil {
		s.o.Line(l)
	}
}

func (s *state) progress(done, total int, what string) {
	if s.o.Progress != nil {
		s.o.Progress(done, total, what)
	}
}
