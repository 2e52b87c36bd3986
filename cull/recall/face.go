package recall

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/cull/people"
	"garner/cull/recall/faces"
)

// FaceAt is a face in a frame, and how far it is from the one that was asked for.
type FaceAt struct {
	At       cull.Region // in the upright picture
	Distance float64     // up to people.Cut it is alike, up to people.Maybe it may be
}

// FaceSearch is a search for a face among the frames that a query leaves. Nothing is
// described before Find, so that whoever asks can tell a person what it means and wait for
// a yes.
type FaceSearch struct {
	Frames  int      // that may be looked at
	Known   int      // of them: a job that said yes has the templates already
	Places  int      // that they are in
	Refused []Broken // places whose faces are not looked at, with the reasons; where somebody said no, none of their frames is looked at in any other place either

	l      *Library
	reader looker
	query  Query
	list   []match
	others map[uint64][]at
	known  map[uint64]*place
}

// looker finds the faces of a picture: a *faces.Reader.
type looker interface {
	Look(ctx context.Context, path string, describe bool) ([]faces.Face, error)
}

// The reasons of FaceSearch.Refused.
var (
	ErrSaidNo  = errors.New("somebody said no to faces here")
	ErrNobody  = errors.New("nobody has said yes to templates of faces in this job: garner prepare JOB --people asks")
	errUnknown = errors.New("what was said about faces cannot be read here")
)

// FaceSearch prepares a search among the frames of a query, whose Like and Person have to
// be empty. A job is searched where it says yes to templates, a bag unless the journal in
// it says no.
func (l *Library) FaceSearch(ctx context.Context, q Query) (*FaceSearch, error) {
	s := &FaceSearch{l: l, reader: faces.NewReader(), query: q, known: map[uint64]*place{}}
	var may, not []*place
	for _, p := range l.places {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := p.mayLook(); err != nil {
			s.Refused = append(s.Refused, Broken{p.dir, err})
			if !errors.Is(err, ErrNobody) {
				not = append(not, p)
			}
			continue
		}
		may = append(may, p)
	}
	refused, err := l.matchIn(ctx, &Query{}, not)
	if err != nil {
		return nil, err
	}
	no := make(map[uint64]bool, len(refused.list))
	for _, m := range refused.list {
		no[m.id] = true
	}
	found, err := l.matchIn(ctx, &q, may)
	if err != nil {
		return nil, err
	}
	s.list = slices.DeleteFunc(found.list, func(m match) bool { return no[m.id] })
	s.others, s.Frames = found.others, len(s.list)
	in := map[int32]bool{}
	for _, m := range s.list {
		in[m.place] = true
	}
	s.Places = len(in)
	return s, s.know(may)
}

// know finds the frames whose templates jobs have.
func (s *FaceSearch) know(places []*place) error {
	asked := make(map[uint64]bool, len(s.list))
	for _, m := range s.list {
		asked[m.id] = true
	}
	for _, p := range places {
		if !p.isJob {
			continue
		}
		if err := p.templates(func(store *people.Store) error {
			looked, err := store.Frames()
			for id := range looked {
				if n, ok := parseID(id); ok && asked[n] {
					s.known[n] = p
				}
			}
			return err
		}); err != nil {
			return fmt.Errorf("%s: %w", p.dir, err)
		}
	}
	s.Known = len(s.known)
	return nil
}

// mayLook says why the faces of a place may not be described; nil = they may.
func (p *place) mayLook() error {
	if p.isJob {
		j, err := job.Open(p.dir, job.Options{ReadOnly: true, Command: "recall"})
		if err != nil {
			return errUnknown
		}
		defer j.Close()
		faces, err := j.Faces()
		if err != nil {
			return errUnknown
		}
		consent, err := j.People()
		switch {
		case err != nil:
			return errUnknown
		case consent.Yes:
			return nil
		case consent.Asked || faces.Asked && !faces.Yes:
			return ErrSaidNo
		}
		return ErrNobody
	}
	r, err := record.Open(p.dir)
	if err != nil {
		return errUnknown
	}
	text, err := r.Journal()
	switch {
	case err != nil:
		return errUnknown
	case job.FacesRefused(text):
		return ErrSaidNo
	}
	return nil
}

// templates opens those of a job, if it has any.
func (p *place) templates(do func(*people.Store) error) error {
	j, err := job.Open(p.dir, job.Options{ReadOnly: true, Command: "recall"})
	if err != nil {
		return err
	}
	defer j.Close()
	if store := people.Open(j); store.Exists() {
		return do(store)
	}
	return nil
}
