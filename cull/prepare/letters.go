package prepare

import (
	"cmp"
	"slices"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// giveLetters gives every body without a letter the next free one, in the order
// in which the bodies begin to shoot, and returns all letters by body. A letter
// once given is a journal entry and never moves.
func giveLetters(j *job.Job, frames []cull.Frame) (map[string]string, error) {
	bodies, err := j.Bodies()
	if err != nil {
		return nil, err
	}
	first := map[string]time.Time{}
	for _, f := range frames {
		if t, ok := first[f.Body]; f.Taken.Known() && (!ok || f.Taken.Wall.Before(t)) {
			first[f.Body] = f.Taken.Wall
		}
	}
	letters, used := map[string]string{}, map[string]bool{}
	var without []cull.Body
	for _, b := range bodies {
		if letters[b.Key] = b.Letter; b.Letter == "" {
			without = append(without, b)
		}
		used[b.Letter] = true
	}
	slices.SortFunc(without, func(a, b cull.Body) int {
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
	})
	var entries []cull.Entry
	n := 0
	for _, b := range without {
		for used[letter(n)] {
			n++
		}
		letters[b.Key] = letter(n)
		used[letter(n)] = true
		entries = append(entries, job.Letter(b.Key, letter(n)))
	}
	_, err = j.Append(entries...)
	return letters, err
}

// letter returns A, B, …, Z, AA, AB, … for 0, 1, ….
func letter(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}
