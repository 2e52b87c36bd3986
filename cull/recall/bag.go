package recall

import (
	"cmp"
	"context"
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/output"
)

// made is what a part is made of.
type made struct {
	about   about
	entries []entry
}

// ofBag reads the record of a bag.
func ofBag(ctx context.Context, r *record.Record) (made, error) {
	m := made{about: about{Job: r.Job.Name, Bodies: r.Job.Bodies}}
	for _, p := range r.Job.Passes {
		m.about.Passes = append(m.about.Passes, p.Name)
	}
	scenes := map[int]int{}
	for _, s := range r.Job.Scenes {
		scenes[s.ID] = len(m.about.Scenes)
		m.about.Scenes = append(m.about.Scenes, s.Name)
	}
	bodies := map[string]int{}
	for i, b := range r.Job.Bodies {
		bodies[b.Key] = i
	}
	kept, err := keptOf(r)
	if err != nil {
		return m, err
	}
	shown, err := picturesOf(r, kept)
	if err != nil {
		return m, err
	}
	left := room(maxBlob)
	for o, err := range r.Frames() {
		if err != nil {
			return m, err
		}
		if err := ctx.Err(); err != nil {
			return m, err
		}
		if len(m.entries) == mostFrames {
			return m, fmt.Errorf("%s has more than %d frames: no job has so many", record.FramesName, mostFrames)
		}
		e, err := ofFrame(o, m.about.Passes, kept)
		if err != nil {
			return m, fmt.Errorf("%s, frame %d: %w", record.FramesName, len(m.entries)+1, err)
		}
		e.scene, e.body = lookup(scenes, o.Scene), lookup(bodies, o.Body)
		if !left.take(e.name) || !e.show(shown[o.ID], &left) {
			return m, errLong
		}
		m.entries = append(m.entries, e)
	}
	if len(m.entries) != r.Job.Frames {
		return m, fmt.Errorf("%s has %d frames, where %s says %d", record.FramesName, len(m.entries), record.JobName, r.Job.Frames)
	}
	return m, nil
}

func lookup[K comparable](m map[K]int, k K) int {
	if i, ok := m[k]; ok {
		return i
	}
	return -1
}

// show adds the finished pictures of a frame. A line of a record may say of many frames
// that each was delivered under many names, so there has to be room.
func (e *entry) show(pictures []shownAs, left *room) bool {
	for _, p := range pictures {
		if !left.take(p.names...) {
			return false
		}
		e.others = append(e.others, p.names...)
		e.files = append(e.files, p.files...)
	}
	for _, f := range e.files {
		if !left.take(f.path) {
			return false
		}
	}
	bestFirst(e.files)
	return true
}

// bestFirst sorts files by their kinds; of one kind the first stays the first.
func bestFirst(files []file) {
	slices.SortStableFunc(files, func(a, b file) int { return cmp.Compare(a.kind, b.kind) })
}

// ofFrame takes over a line of frames.jsonl, but for its scene, body and pictures.
func ofFrame(o record.Frame, passes []string, kept map[string]string) (entry, error) {
	k, err := o.Known()
	if err != nil {
		return entry{}, err
	}
	e, err := entryOf(k.Frame, k.Place, passes, func(pass string) cull.Answer { return k.Answers[pass].Answer })
	if err != nil {
		return e, err
	}
	e.look = k.Look
	if o.Thumb != nil {
		e.thumb = *o.Thumb
	}
	for _, f := range k.Frame.Files {
		if in, ok := kept[f.Path]; ok {
			e.offer(f, in)
		}
	}
	if o.Small != nil {
		if of, err := o.Small.Original(); err == nil && kept[of] != "" && !slices.Contains(e.files, file{Original, kept[of]}) {
			e.files = append(e.files, file{Original, kept[of]}) // freed in the job, and in the bag itself
		}
		e.files = append(e.files, file{Small, o.Small.Path})
	}
	return e, nil
}

// entryOf is what bags and jobs have in common; files are left to the caller.
func entryOf(f cull.Frame, p cull.Place, passes []string, answer func(pass string) cull.Answer) (entry, error) {
	id, ok := parseID(f.ID)
	if !ok {
		return entry{}, fmt.Errorf("%q is no frame", f.ID)
	}
	e := entry{id: id, name: f.Name, taken: f.Taken, corrected: p.Corrected, moment: p.Moment, scene: -1, body: -1, aspect: aspectOf(f.Shot)}
	for _, pass := range passes {
		e.answers = append(e.answers, answer(pass))
	}
	return e, nil
}

// offer adds a file of the frame, which lies at a path below its place, if the frame may
// be had from it.
func (e *entry) offer(f cull.File, at string) {
	switch f.Role {
	case cull.RoleMain, cull.RoleTwin, cull.RoleVersion:
		e.files = append(e.files, file{Original, at})
	case cull.RoleJPEG, cull.RoleHEIF:
		e.files = append(e.files, file{CameraJPEG, at})
	case cull.RoleSmall:
		e.files = append(e.files, file{Small, at})
	}
}

// keptOf gives the paths in the bag of the job's files that are in it.
func keptOf(r *record.Record) (map[string]string, error) {
	kept, left := map[string]string{}, room(maxBlob)
	for f, err := range r.Files() {
		if err != nil {
			return nil, err
		}
		p, err := f.JobPath()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", record.FilesName, err)
		}
		if f.Bag != "" {
			kept[p] = f.Bag
		}
		if !left.take(p, f.Bag) {
			return nil, errLong
		}
	}
	return kept, nil
}

// shownAs is a finished picture of a frame.
type shownAs struct {
	names []string
	files []file
}

// picturesOf gives the finished pictures of each frame.
func picturesOf(r *record.Record, kept map[string]string) (map[cull.ID][]shownAs, error) {
	shown, left := map[cull.ID][]shownAs{}, room(maxBlob)
	for p, err := range r.Pictures() {
		if err != nil {
			return nil, err
		}
		at, err := p.JobPath()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", record.PicturesName, err)
		}
		s := pictureOf(at, p.Number, p.Delivered, func(job string) (string, bool) { in, ok := kept[job]; return in, ok })
		for _, id := range p.Frames {
			shown[id] = append(shown[id], s)
			if !left.take(string(id), "", "") {
				return nil, errLong
			}
		}
		if !left.take(s.names...) {
			return nil, errLong
		}
	}
	return shown, nil
}

// pictureOf is a finished picture under a path of the job; at tells where a file of the
// job lies below the place.
func pictureOf(job string, number int, delivered []record.Delivered, at func(job string) (string, bool)) shownAs {
	var s shownAs
	if number > 0 {
		s.names = append(s.names, fmt.Sprintf("%04d", number))
	}
	if in, ok := at(job); ok {
		s.files = append(s.files, file{Finished, in})
	}
	s.names = append(s.names, path.Base(job))
	for _, d := range delivered {
		if name := path.Base(d.File); !slices.Contains(s.names, name) {
			s.names = append(s.names, name)
		}
		if in, ok := at(path.Join(output.SetsFolder, d.Set, d.File)); ok {
			s.files = append(s.files, file{Delivered, in})
		}
	}
	return s
}

// jobName is what a job is called whose folder this is.
func jobName(dir string) string {
	return strings.TrimRight(filepath.Base(dir), string(filepath.Separator))
}
