package recall

import (
	"errors"
	"maps"
	"slices"
	"strings"

	"garner/cull/job"
	"garner/cull/people"
)

// ErrNoTemplates is the reason why a person is looked for nowhere: templates of faces
// are in jobs alone that said yes to them and still have them, and never in a bag.
var ErrNoTemplates = errors.New("none of the places has templates of faces: a person is found in jobs that said yes to them and still hold them, never in a bag; --face FILE looks at the pictures of a bag")

// framesOf are the frames of a job that show a person, by label or name; ok is false
// where there are no templates that may be asked.
func (p *place) framesOf(person string) (frames map[uint64]bool, ok bool, err error) {
	if !p.isJob {
		return nil, false, nil
	}
	j, err := job.Open(p.dir, job.Options{ReadOnly: true, Command: "recall"})
	if err != nil {
		return nil, false, err
	}
	defer j.Close()
	consent, err := j.People()
	if err != nil || !consent.Yes {
		return nil, false, err
	}
	store := people.Open(j)
	if !store.Exists() {
		return nil, false, nil
	}
	looked, err := store.Frames()
	if err != nil {
		return nil, false, err
	}
	faces, err := store.In(slices.Collect(maps.Keys(looked))...)
	if err != nil {
		return nil, false, err
	}
	frames = map[uint64]bool{}
	for id, list := range faces {
		n, is := parseID(id)
		if is && slices.ContainsFunc(list, func(f people.Named) bool {
			return strings.EqualFold(f.Label, person) || f.Name != "" && folded(f.Name) == folded(person)
		}) {
			frames[n] = true
		}
	}
	return frames, true, nil
}
