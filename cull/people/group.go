package people

import (
	"cmp"
	"math"
	"slices"
)

// sums is what is needed of a person's templates to tell how far others are.
type sums struct {
	person  uint32
	n       int
	sum     [Dims]float64
	squares float64 // of all values
}

func (s *sums) add(t *Template) {
	s.n++
	for i, v := range t {
		s.sum[i] += float64(v)
		s.squares += float64(v) * float64(v)
	}
}

// away is the distance of a template from a person: the root of the mean square of
// its distances from the person's templates.
func (s *sums) away(t *Template) float64 {
	var dot, own float64
	for i, v := range t {
		dot += float64(v) * s.sum[i]
		own += float64(v) * float64(v)
	}
	return math.Sqrt(max(0, own+(s.squares-2*dot)/float64(s.n)))
}

// apart is the same for two persons: of all pairs of their templates.
func (s *sums) apart(o *sums) float64 {
	var dot float64
	for i := range s.sum {
		dot += s.sum[i] * o.sum[i]
	}
	n, m := float64(s.n), float64(o.n)
	return math.Sqrt(max(0, s.squares/n+o.squares/m-2*dot/(n*m)))
}

// persons sums up every person, in the order of their numbers.
func (s *state) persons() []*sums {
	by := map[uint32]*sums{}
	var all []*sums
	for _, id := range s.ids() { // in one order: sums of floats depend on it
		for i := range s.frames[id] {
			f := &s.frames[id][i]
			if f.person == 0 {
				continue
			}
			if by[f.person] == nil {
				by[f.person] = &sums{person: f.person}
				all = append(all, by[f.person])
			}
			by[f.person].add(&f.template)
		}
	}
	slices.SortFunc(all, func(a, b *sums) int { return cmp.Compare(a.person, b.person) })
	return all
}

// pair is a face that may be of a person.
type pair struct {
	face, at int // at: index into the persons
	away     float64
}

// assign gives the faces of one frame their persons: the nearest pairs first, no
// person twice, since nobody is in a frame twice. Who is near none is a new person.
// Nobody else's person changes.
func (s *state) assign(faces []face, all []*sums) []*sums {
	var pairs []pair
	for i := range faces {
		if faces[i].person == 0 && faces[i].template != (Template{}) {
			for k, p := range all {
				if d := p.away(&faces[i].template); d <= Cut {
					pairs = append(pairs, pair{i, k, d})
				}
			}
		}
	}
	slices.SortFunc(pairs, func(a, b pair) int {
		return cmp.Or(cmp.Compare(a.away, b.away), cmp.Compare(a.face, b.face), cmp.Compare(a.at, b.at))
	})
	taken := map[int]bool{}
	for _, p := range pairs {
		if faces[p.face].person == 0 && !taken[p.at] {
			faces[p.face].person, taken[p.at] = all[p.at].person, true
			all[p.at].add(&faces[p.face].template)
		}
	}
	for i := range faces {
		if f := &faces[i]; f.person == 0 && f.template != (Template{}) {
			f.person = s.next
			s.next++
			p := &sums{person: f.person}
			p.add(&f.template)
			all = append(all, p)
		}
	}
	return all
}
