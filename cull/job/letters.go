package job

import (
	"cmp"
	"slices"
	"time"

	"garner/cull"
)

// SeenBody is a body and when it first shot, on its own clock; zero = not known.
type SeenBody struct {
	cull.Body
	First time.Time
}

// GiveLetters makes bodies known to the job, with their photographers, gives those
// without a letter one, and returns all letters of the job by body. A body of
// which the settings say so gets that letter, unless another body has it already;
// the others get the next letters that are neither given nor meant for somebody,
// in the order in which they begin to shoot. A letter once given is a journal
// entry and never moves. An error that is [ErrJournal] comes with the letters.
func GiveLetters(j *Job, seen []SeenBody, s Settings) (map[string]string, error) {
	first := map[string]time.Time{}
	var bodies []cull.Body
	for _, b := range seen {
		if b.Key == "" {
			continue
		}
		if t, ok := first[b.Key]; !b.First.IsZero() && (!ok || b.First.Before(t)) {
			first[b.Key] = b.First
		}
		b.Body.Photographer = s.Photographer(b.Body)
		bodies = append(bodies, b.Body)
	}
	if err := j.saveNewBodies(bodies); err != nil {
		return nil, err
	}
	known, err := j.Bodies()
	if err != nil {
		return nil, err
	}
	letters, used := map[string]string{}, map[string]bool{}
	var without []cull.Body
	for _, b := range known {
		if letters[b.Key] = b.Letter; b.Letter == "" {
			without = append(without, b)
		}
		used[b.Letter] = true
	}
	var entries []cull.Entry
	give := func(b cull.Body, letter string) {
		letters[b.Key], used[letter] = letter, true
		entries = append(entries, Letter(b.Key, letter))
	}
	slices.SortFunc(without, byFirst(first))
	without = slices.DeleteFunc(without, func(b cull.Body) bool {
		fixed := s.Bodies[b.Serial].Letter
		if b.Serial == "" || fixed == "" || used[fixed] {
			return false
		}
		give(b, fixed)
		return true
	})
	for _, b := range s.Bodies { // theirs, should they come later
		used[b.Letter] = true
	}
	n := 0
	for _, b := range without {
		for used[letter(n)] {
			n++
		}
		give(b, letter(n))
	}
	_, err = j.Append(entries...)
	return letters, err
}

// byFirst orders bodies by when they begin to shoot, those without a time last.
func byFirst(first map[string]time.Time) func(a, b cull.Body) int {
	return func(a, b cull.Body) int {
		ta, oka := first[a.Key]
		tb, okb := first[b.Key]
		switch {
		case oka && okb:
			return cmp.Or(ta.Compare(tb), cmp.Compare(a.Key, b.Key))
		case oka:
			return -1
		case okb:
			return 1
		}
		return cmp.Compare(a.Key, b.Key)
	}
}

// letter returns A, B, …, Z, AA, AB, … for 0, 1, ….
func letter(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}

// saveNewBodies stores bodies that are not known as they are.
func (j *Job) saveNewBodies(bodies []cull.Body) error {
	known, err := j.Bodies()
	if err != nil {
		return err
	}
	have := map[string]cull.Body{}
	for _, b := range known {
		have[b.Key] = b
	}
	bodies = slices.DeleteFunc(bodies, func(b cull.Body) bool {
		k, ok := have[b.Key]
		return ok && k.Make == b.Make && k.Model == b.Model && k.Serial == b.Serial && (k.Photographer == b.Photographer || b.Photographer == "")
	})
	if len(bodies) == 0 {
		return nil
	}
	return j.SaveBodies(bodies)
}
