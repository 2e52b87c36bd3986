package people

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"garner/cull"
)

// Person is one group of templates.
type Person struct {
	Label  string // p1, p2, …: stays, and is never given twice
	Name   string // as somebody gave it; "" = none
	Faces  int
	Frames int
	Best   Place    // the face that is nearest to all the person's others
	Maybe  []Likely // persons who may be the same one, the nearest first; nobody who is in a frame with this one
}

// Place is a face in a frame.
type Place struct {
	Frame cull.ID
	At    cull.Region
}

// Likely is a person who may be the same as another.
type Likely struct {
	Label, Name string
	Distance    float64
}

// Persons lists the persons in the order in which they were found.
func (s *Store) Persons() ([]Person, error) {
	var out []Person
	err := s.view(func(st *state) error {
		out = st.list()
		return nil
	})
	return out, err
}

func (s *state) list() []Person {
	all := s.persons()
	out := make([]Person, len(all))
	index := make(map[uint32]int, len(all))
	nearest := make([]float64, len(all))
	beside := map[[2]int]bool{} // persons who are in one frame
	for i, p := range all {
		out[i] = Person{Label: label(p.person), Name: s.names[p.person], Faces: p.n}
		index[p.person], nearest[i] = i, math.Inf(1)
	}
	for _, id := range s.ids() {
		in := map[int]bool{}
		for k := range s.frames[id] {
			f := &s.frames[id][k]
			if f.person == 0 {
				continue
			}
			i := index[f.person]
			in[i] = true
			// Of equals the first, whatever rounding says.
			if d := all[i].away(&f.template); d < nearest[i]-1e-6 {
				nearest[i], out[i].Best = d, Place{id, f.at}
			}
		}
		for i := range in {
			out[i].Frames++
			for k := range in {
				beside[[2]int{i, k}] = true // with itself too
			}
		}
	}
	for i, a := range all {
		for k, b := range all {
			if d := a.apart(b); d <= Maybe && !beside[[2]int{i, k}] {
				out[i].Maybe = append(out[i].Maybe, Likely{out[k].Label, out[k].Name, d})
			}
		}
		slices.SortStableFunc(out[i].Maybe, func(a, b Likely) int { return cmp.Compare(a.Distance, b.Distance) })
	}
	return out
}

// ErrNoPerson is returned where no person has a label or name.
var ErrNoPerson = errors.New("no such person")

// find returns the persons whom a label or a name means: several may have one name.
func (s *state) find(person string) (map[uint32]bool, error) {
	who := map[uint32]bool{}
	for p, name := range s.names {
		if strings.EqualFold(name, person) {
			who[p] = true
		}
	}
	for _, faces := range s.frames {
		for _, f := range faces {
			if f.person != 0 && label(f.person) == person {
				who[f.person] = true
			}
		}
	}
	if len(who) == 0 {
		return nil, fmt.Errorf("%w: %q", ErrNoPerson, person)
	}
	return who, nil
}

// given reports whether a label is or was somebody's.
func (s *state) given(person string) bool {
	n, err := strconv.ParseUint(strings.TrimPrefix(person, "p"), 10, 32)
	return err == nil && n > 0 && n < uint64(s.next) && person == label(uint32(n))
}

// labels are the names that only garner gives.
var labels = regexp.MustCompile(`^[pP][0-9]+$`)

// Rename gives a person a name, "" takes it away. Several persons may have one
// name: they are then forgotten together, and stay apart otherwise. It returns how
// many have the name now.
func (s *Store) Rename(person, name string) (same int, err error) {
	name = strings.TrimSpace(name)
	switch {
	case name != "" && !goodName(name):
		return 0, fmt.Errorf("a name is up to %d bytes of text on one line", maxName)
	case labels.MatchString(name) || strings.EqualFold(name, noteAll), strings.EqualFold(name, noteGone):
		return 0, fmt.Errorf("%q means something else already", name)
	}
	err = s.update(func(st *state) (bool, error) {
		who, err := st.find(person)
		if err != nil {
			return false, err
		}
		for p := range who {
			if st.names[p] = name; name == "" {
				delete(st.names, p)
			}
		}
		for _, n := range st.names {
			if strings.EqualFold(n, name) {
				same++
			}
		}
		return true, nil
	})
	return same, err
}
