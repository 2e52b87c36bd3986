package people

import (
	"maps"
	"slices"

	"garner/cull"
)

// state is what the file holds.
type state struct {
	next   uint32            // number of the next person; numbers are never given twice
	names  map[uint32]string // given by people; persons without one are missing
	frames map[cull.ID][]face
}

// face is one face of a frame. A face without a person was forgotten: its template
// is zero and is not written.
type face struct {
	at       cull.Region
	person   uint32
	template Template
}

// What is refused as no file of ours, and by Put.
const (
	maxFaces  = cull.MaxFaces
	maxFrames = 1 << 20
	maxAll    = 1 << 19 // faces, as many as fit into the file with templates; those that were forgotten take as much memory
	maxID     = 64
	maxName   = 120 // bytes
	maxPerson = 1 << 31
)

func newState() *state {
	return &state{next: 1, names: map[uint32]string{}, frames: map[cull.ID][]face{}}
}

// faces counts all faces, with those that were forgotten.
func (s *state) faces() (n int) {
	for _, faces := range s.frames {
		n += len(faces)
	}
	return n
}

// ids lists the frames in the order of the file.
func (s *state) ids() []cull.ID { return slices.Sorted(maps.Keys(s.frames)) }

// rename puts frames under the ids that they have now. Where both are known the
// present one's faces stand, with what was forgotten under the former one.
func (s *state) rename(now map[cull.ID]cull.ID) {
	for _, former := range s.ids() {
		id, ok := now[former]
		if !ok || id == former {
			continue
		}
		faces := s.frames[former]
		delete(s.frames, former)
		if has, ok := s.frames[id]; ok {
			faces = kept(has, faces)
		}
		s.frames[id] = faces
	}
	s.tidy()
}

// kept returns faces without those at places that were forgotten before, and with
// those places.
func kept(faces, before []face) []face {
	var out []face
	for _, f := range before {
		if f.person == 0 {
			out = append(out, f)
		}
	}
	gone := len(out)
	for _, f := range faces {
		if !forgotten(out[:gone], f.at) && len(out) < maxFaces {
			out = append(out, f)
		}
	}
	return out
}

// sameFace is the overlap from which two places are one face, as detections of one
// face are told from two.
const sameFace = 0.3

func forgotten(faces []face, at cull.Region) bool {
	return slices.ContainsFunc(faces, func(f face) bool { return f.person == 0 && overlap(f.at, at) >= sameFace })
}

// tidy drops the names of persons of whom nothing is left.
func (s *state) tidy() {
	has := map[uint32]bool{}
	for _, faces := range s.frames {
		for _, f := range faces {
			has[f.person] = true
		}
	}
	maps.DeleteFunc(s.names, func(p uint32, _ string) bool { return !has[p] })
}

// wipe overwrites the templates, so that memory keeps them no longer than needed.
func (s *state) wipe() {
	for _, faces := range s.frames {
		for i := range faces {
			faces[i].template = Template{}
		}
	}
}
