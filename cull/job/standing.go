package job

import (
	"maps"
	"path"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/gaps"
)

// AlsoPlace is a folder beside the job that everything goes to.
type AlsoPlace struct {
	Path      string
	Reachable bool // now
}

// kept gathers what offloads left on record.
func (s *Status) kept(j *Job) (err error) {
	if s.Cards, err = j.Cards(); err != nil {
		return err
	}
	also, err := j.Also()
	if err != nil {
		return err
	}
	for _, dir := range also {
		s.Also = append(s.Also, AlsoPlace{dir, Reachable(dir)})
	}
	damaged, err := j.Damaged()
	if err != nil {
		return err
	}
	s.Damaged = slices.Sorted(maps.Keys(damaged))
	return nil
}

// alarms looks for frames and cards that seem to be missing.
func (s *Status) alarms(frames map[cull.ID]cull.Frame, bodies []cull.Body, others []Other) {
	shots := shotsOf(frames, bodies, others)
	s.Alarms, s.FewMissing = gaps.Find(shots, gaps.Options{}), 0
	for _, n := range gaps.Small(shots, gaps.Options{}) {
		s.FewMissing += n
	}
}

// shotsOf are the numbered files of a job. A frame whose files are gone was there;
// films and other files beside the frames of a body have numbers of its counter.
func shotsOf(frames map[cull.ID]cull.Frame, bodies []cull.Body, others []Other) []gaps.Shot {
	byKey, letters := map[string]cull.Body{}, map[string]bool{}
	for _, b := range bodies {
		byKey[b.Key] = b
		letters[b.Letter] = true
	}
	stem := func(p string) string { return strings.TrimSuffix(path.Base(p), path.Ext(p)) }
	var shots []gaps.Shot
	for _, f := range frames {
		b := byKey[f.Body]
		s := gaps.Shot{Body: b.Letter, Stem: stem(f.Name), At: b.Correct(f.Taken).Wall}
		if len(f.Files) > 0 {
			s.Stem = stem(f.Files[0].Original())
		}
		shots = append(shots, s)
	}
	for _, o := range others {
		dir, _, _ := strings.Cut(o.Path, "/")
		if letter := strings.TrimRight(dir, "0123456789"); letter != "" && letters[letter] {
			shots = append(shots, gaps.Shot{Body: letter, Stem: stem(o.Path)})
		}
	}
	return shots
}
