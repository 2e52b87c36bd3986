package recall

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"

	"garner/cull/people"
	"garner/cull/recall/faces"
	"garner/preview/sched"
)

// faceChunk is how many frames are read about at once.
const faceChunk = 512

// Unseen is a frame whose faces could not be looked at.
type Unseen struct {
	Hit Hit
	Err error
}

// FaceFound is what a search for a face found: Found, nearest first, and what could not be
// looked at.
type FaceFound struct {
	Found
	Unseen  []Unseen
	Refused []Broken // as of FaceSearch
}

// Find looks at the faces of all frames and tells of those that are like one, nearest
// first; shown tells how far that has come, from several goroutines but never at once.
// The templates that it makes are gone when it returns. The error is that of ctx, of the
// networks, or of the templates of a job.
func (s *FaceSearch) Find(ctx context.Context, of *people.Template, shown func(done, total int)) (FaceFound, error) {
	near, err := s.knownFaces(of)
	if err != nil {
		return FaceFound{}, err
	}
	w := &faceWork{of: of, shown: shown, total: len(s.list) - len(s.known), reader: s.reader}
	for chunk := range slices.Chunk(s.list, faceChunk) {
		hits, err := s.l.hits(ctx, chunk, s.others)
		if err != nil {
			return FaceFound{}, err
		}
		var todo []Hit
		for _, h := range hits {
			id, _ := parseID(h.Frame)
			if _, known := s.known[id]; !known {
				todo = append(todo, h)
			} else if at, ok := near[id]; ok {
				h.Face = &at
				w.hits = append(w.hits, h)
			}
		}
		if err := sched.Each(ctx, len(todo), func(ctx context.Context, i int) error { return w.look(ctx, todo[i]) }); err != nil {
			return FaceFound{}, err
		}
	}
	slices.SortStableFunc(w.hits, func(a, b Hit) int {
		return cmp.Or(cmp.Compare(a.Face.Distance, b.Face.Distance), a.Corrected.Wall.Compare(b.Corrected.Wall), cmp.Compare(a.Frame, b.Frame))
	})
	slices.SortFunc(w.unseen, func(a, b Unseen) int {
		return cmp.Or(cmp.Compare(a.Hit.Place, b.Hit.Place), cmp.Compare(a.Hit.Name, b.Hit.Name), cmp.Compare(a.Hit.Frame, b.Hit.Frame))
	})
	out := FaceFound{Found: Found{Hits: w.hits, Total: len(w.hits)}, Unseen: w.unseen, Refused: s.Refused}
	if most := s.query.Most; most > 0 && most < len(out.Hits) {
		out.Hits = out.Hits[:most]
	}
	return out, nil
}

// knownFaces are the nearest faces in frames whose templates jobs have.
func (s *FaceSearch) knownFaces(of *people.Template) (map[uint64]FaceAt, error) {
	near := map[uint64]FaceAt{}
	asked := map[*place]bool{}
	for _, p := range s.known {
		if asked[p] {
			continue
		}
		asked[p] = true
		if err := p.templates(func(store *people.Store) error {
			list, err := store.Find(*of, people.Maybe)
			for _, m := range list { // nearest first
				n, ok := parseID(m.Frame)
				if _, had := near[n]; ok && !had && s.known[n] == p {
					near[n] = FaceAt{m.At, m.Distance}
				}
			}
			return err
		}); err != nil {
			return nil, fmt.Errorf("%s: %w", p.dir, err)
		}
	}
	return near, nil
}

// faceWork is a search on its way.
type faceWork struct {
	of     *people.Template
	shown  func(done, total int)
	total  int
	reader looker

	mu     sync.Mutex
	done   int
	hits   []Hit
	unseen []Unseen
}

// look describes the faces of one frame, from the best of its files that can be read.
func (w *faceWork) look(ctx context.Context, h Hit) error {
	var list []faces.Face
	var why error // of the best file
	seen := false
	for _, f := range append([]File{h.Best}, h.rest...) {
		if seen || f.Kind == NoFile || !f.there() {
			continue
		}
		found, err := w.reader.Look(ctx, f.Path, true)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.Is(err, faces.ErrNetworks):
			return err
		case err == nil:
			list, seen = found, true
		case why == nil:
			why = err
		}
	}
	near, distance, ok := faces.Nearest(list, w.of)
	w.mu.Lock()
	defer w.mu.Unlock()
	switch {
	case !seen:
		if why == nil {
			why = ErrNoFile
		}
		w.unseen = append(w.unseen, Unseen{h, why})
	case ok && distance <= people.Maybe:
		h.Face = &FaceAt{near.At, distance}
		w.hits = append(w.hits, h)
	}
	if w.done++; w.shown != nil {
		w.shown(w.done, w.total)
	}
	return nil
}
