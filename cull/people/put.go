package people

import (
	"fmt"

	"garner/cull"
)

// Found is what was found in a frame; no faces is an answer too.
type Found struct {
	Frame cull.ID
	Faces []Face
}

// Put keeps the templates of some frames, in place of those that they had, and
// gives each face its person: all of it or nothing, in one replacement of the file
// (some milliseconds and its length twice, so a batch is better than a frame). A
// place where a face was forgotten stays so. The job's consent is asked for again
// each time; without it the error is ErrNoConsent and nothing is kept.
func (s *Store) Put(found ...Found) error {
	templates := 0
	for _, f := range found {
		if f.Frame == "" || len(f.Frame) > maxID || len(f.Faces) > maxFaces {
			return fmt.Errorf("frame %q with %d faces cannot be kept in people.db", f.Frame, len(f.Faces))
		}
		for i := range f.Faces {
			_, ok := region(f.Faces[i].Region)
			if t := &f.Faces[i].Template; !ok || !t.sound() || *t == (Template{}) {
				return fmt.Errorf("face %d of frame %s has no sound place or template", i+1, f.Frame)
			}
		}
		templates += len(f.Faces)
	}
	if len(found) == 0 {
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.begin(templates); err != nil {
		return err
	}
	err := s.update(func(st *state) (bool, error) {
		// Under the lock: whoever withdraws the consent and then removes the file
		// finds nothing put back.
		if err := s.allowed(); err != nil {
			return false, err
		}
		st.put(found)
		return true, nil
	})
	if err == nil {
		s.made += templates
	}
	return err
}

// begin notes that templates are made. Not under the lock of the file: whoever takes
// the consent back in the journal waits for that lock, and this would wait for the
// journal.
func (s *Store) begin(templates int) error {
	if s.begun || templates == 0 {
		return nil
	}
	err := s.allowed()
	if err == nil {
		err = s.note(noteBegun)
	}
	s.begun = err == nil
	return err
}

func (s *Store) allowed() error {
	yes, err := s.consent()
	if err == nil && !yes {
		err = ErrNoConsent
	}
	return err
}

// put replaces what is known of some frames.
func (s *state) put(found []Found) {
	before := map[cull.ID][]face{}
	for _, f := range found {
		if old, ok := s.frames[f.Frame]; ok && before[f.Frame] == nil {
			before[f.Frame] = old
			delete(s.frames, f.Frame)
		}
	}
	all := s.persons()
	index := map[uint32]int{}
	for i, p := range all {
		index[p.person] = i
	}
	for _, f := range found {
		if twice, ok := s.frames[f.Frame]; ok {
			before[f.Frame] = twice // of one frame the last counts
		}
		faces := make([]face, 0, len(f.Faces))
		for _, n := range f.Faces {
			at, _ := region(n.Region)
			faces = append(faces, face{at: at, template: n.Template})
		}
		old := before[f.Frame]
		faces = kept(faces, old)
		again(faces, old)
		for i := range faces {
			if p := faces[i].person; p != 0 {
				k, ok := index[p]
				if !ok {
					k = len(all)
					all = append(all, &sums{person: p})
					index[p] = k
				}
				all[k].add(&faces[i].template)
			}
		}
		n := len(all)
		all = s.assign(faces, all)
		for ; n < len(all); n++ {
			index[all[n].person] = n
		}
		s.frames[f.Frame] = faces
	}
	s.tidy()
}

// again gives faces of a frame that was measured before the persons that they had.
func again(faces, old []face) {
	taken := map[uint32]bool{}
	for _, o := range old {
		best, most := -1, sameFace
		for i, f := range faces {
			if share := overlap(f.at, o.at); f.person == 0 && f.template != (Template{}) && share >= most {
				best, most = i, share
			}
		}
		if best >= 0 && o.person != 0 && !taken[o.person] {
			faces[best].person, taken[o.person] = o.person, true
		}
	}
}

// Has reports whether a frame has been looked at. Whoever asks about many frames
// takes [Store.Frames].
func (s *Store) Has(frame cull.ID) (bool, error) {
	all, err := s.Frames()
	return all[frame], err
}

// Frames returns the frames that have been looked at, with the ids they have now.
func (s *Store) Frames() (map[cull.ID]bool, error) {
	all := map[cull.ID]bool{}
	err := s.view(func(st *state) error {
		for id := range st.frames {
			all[id] = true
		}
		return nil
	})
	return all, err
}

// Close journals how many templates were made since Open.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.made == 0 {
		return nil
	}
	err := s.note(noteMade, fmt.Sprint(s.made))
	s.made = 0
	return err
}
