package scenes

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// Verb says what is to be changed about a scene.
type Verb uint8

// The changes.
const (
	Begin Verb = iota // a scene begins with the moment of the frame
	Join              // the scene goes on from the one before it
	Name              // the scene is called like that; "" takes a name back
)

// Change is one change as it was asked for. What names a frame of the scene, or,
// unless it says where a scene begins, the scene: by its number or its name.
type Change struct {
	Verb Verb
	What string // for Name with the new name behind it, WHAT=NAME
}

// Done is what became of a change.
type Done struct {
	Text string
	Name string // that a scene was given; "" = none
}

// Apply makes changes durable one after the other, each on what the ones before it
// have made. The caller holds the job's claim. What stands already is said and is no
// error; at an error, the changes before it stand.
func Apply(j *job.Job, s *cull.Session, changes []Change, now func() time.Time, who string) ([]Done, error) {
	var done []Done
	for _, c := range changes {
		a, what, err := action(s, c)
		if err != nil {
			return done, err
		}
		e, err := s.Plan(a, now(), who)
		if errors.Is(err, cull.ErrNothing) {
			done = append(done, Done{Text: what + ": that is so already"})
			continue
		}
		if err != nil {
			return done, fmt.Errorf("%s: %w", what, err)
		}
		kept, err := j.Append(e)
		if err != nil && !errors.Is(err, job.ErrJournal) {
			return done, err
		}
		if err := s.Commit(kept[0]); err != nil {
			return done, err
		}
		d := Done{Text: what + ": " + s.Tell(kept[0])}
		if n, ok := a.(cull.NameScene); ok {
			d.Name = n.Name
		}
		done = append(done, d)
	}
	return done, nil
}

// action turns a change into an action, and names what it is about.
func action(s *cull.Session, c Change) (cull.Action, string, error) {
	switch c.Verb {
	case Begin:
		id, err := s.Resolve(frameName(c.What))
		if err != nil {
			return nil, "", err
		}
		moment := s.Moment(id)
		if moment == nil {
			return nil, "", fmt.Errorf("%w: %s has no place in the job yet", cull.ErrUnknownFrame, cull.Plain(c.What))
		}
		return cull.Correct{Correction: cull.Correction{Kind: cull.BeginScene, Frames: moment[:1]}}, cull.Plain(c.What), nil
	case Join:
		scene, err := find(s, c.What)
		if err != nil {
			return nil, "", err
		}
		return cull.Correct{Correction: cull.Correction{Kind: cull.JoinScene, Frames: []cull.ID{scene.First}}}, words(scene), nil
	}
	scene, name, err := findNamed(s, c.What)
	if err != nil {
		return nil, "", err
	}
	return cull.NameScene{Frame: scene.First, Name: name}, words(scene), nil
}

// findNamed reads WHAT=NAME. WHAT ends at the first = before which something is
// found, since names of files may hold one.
func findNamed(s *cull.Session, text string) (cull.Scene, string, error) {
	var first error
	for i := range len(text) {
		if text[i] != '=' {
			continue
		}
		scene, err := find(s, text[:i])
		if err == nil {
			name := strings.TrimSpace(text[i+1:])
			if cull.Plain(name) != name {
				return scene, "", errors.New("the name of a scene holds characters that can't be shown")
			}
			return scene, name, nil
		}
		if first == nil {
			first = err
		}
	}
	if first == nil {
		first = fmt.Errorf("a scene is named by SCENE=NAME or FRAME=NAME, as in 3=Church; got %s", cull.Plain(text))
	}
	return cull.Scene{}, "", first
}

// find finds a scene by its name, by its number, or by one of its frames.
func find(s *cull.Session, what string) (cull.Scene, error) {
	l := s.Layout()
	var named []cull.Scene
	for _, scene := range l.Scenes {
		if strings.EqualFold(scene.Name, what) {
			named = append(named, scene)
		}
	}
	if len(named) == 1 {
		return named[0], nil
	}
	if len(named) > 1 {
		return cull.Scene{}, fmt.Errorf("%w: %d scenes are named %s; say which by its number", cull.ErrAmbiguous, len(named), cull.Plain(what))
	}
	if n, err := strconv.Atoi(what); err == nil && len(what) <= 4 {
		if n < 1 || n > len(l.Scenes) {
			return cull.Scene{}, fmt.Errorf("there is no scene %s; the job has %d", cull.Plain(what), len(l.Scenes))
		}
		return l.Scenes[n-1], nil
	}
	id, err := s.Resolve(frameName(what))
	if err != nil {
		return cull.Scene{}, fmt.Errorf("%w, and no scene has that name or number", err)
	}
	p, ok := s.Place(id)
	if !ok || p.Scene < 0 || p.Scene >= len(l.Scenes) {
		return cull.Scene{}, fmt.Errorf("%w: %s has no place in the job yet", cull.ErrUnknownFrame, cull.Plain(what))
	}
	return l.Scenes[p.Scene], nil
}

func frameName(text string) cull.Name {
	if id, ok := strings.CutPrefix(text, "#"); ok {
		return cull.Name{Text: strings.ToLower(id), ByID: true}
	}
	return cull.Name{Text: text}
}

// words names a scene in a message.
func words(s cull.Scene) string {
	number := cull.SceneNumber(s.ID)
	if s.Name == number {
		return "scene " + number
	}
	return "scene " + number + " " + cull.Plain(s.Name)
}
