package clocks

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// Pair names two frames of one instant: Right is of the body whose clock is right,
// as it is corrected now, Wrong of the one to be corrected.
type Pair struct{ Right, Wrong string }

// ParsePair reads "A:0123 B:0420".
func ParsePair(s string) (Pair, error) {
	f := strings.Fields(s)
	if len(f) != 2 {
		return Pair{}, fmt.Errorf("two frames of one instant are written A:0123 B:0420; got %q", s)
	}
	return Pair{f[0], f[1]}, nil
}

var errOneBody = errors.New("both frames are of one body")

// agree is how far apart the offsets of two pairs may be to be one offset.
const agree = 3 * time.Second

// Same works out settings from pairs of frames of one instant. Pairs of one body
// that agree give one offset, their mean; where they do not, the clock was set in
// between: after the longest pause that its frames between the two pairs have.
func Same(j *job.Job, pairs []Pair) ([]Setting, error) {
	bodies, err := j.Bodies()
	if err != nil {
		return nil, err
	}
	frames, err := j.Frames()
	if err != nil {
		return nil, err
	}
	of := map[string]cull.Body{}
	for _, b := range bodies {
		of[b.Key] = b
	}
	told := map[string][]told{}
	var order []string
	for _, p := range pairs {
		right, err := Find(frames, bodies, p.Right)
		if err != nil {
			return nil, err
		}
		wrong, err := Find(frames, bodies, p.Wrong)
		if err != nil {
			return nil, err
		}
		for _, f := range []cull.Frame{right, wrong} {
			switch {
			case !f.Taken.Known():
				return nil, fmt.Errorf("%s has no capture time", cull.Plain(f.Name))
			case f.Body == "":
				return nil, fmt.Errorf("the body that took %s is not known", cull.Plain(f.Name))
			}
		}
		if right.Body == wrong.Body {
			return nil, fmt.Errorf("%s and %s: %w", cull.Plain(right.Name), cull.Plain(wrong.Name), errOneBody)
		}
		if told[wrong.Body] == nil {
			order = append(order, wrong.Body)
		}
		told[wrong.Body] = append(told[wrong.Body], toldBy(of[right.Body].Correct(right.Taken), wrong.Taken))
	}
	var out []Setting
	for _, key := range order {
		out = append(out, offsets(of[key], told[key], frames)...)
	}
	return out, nil
}

// told is what a pair says: at a moment of the wrong clock, so much is to be added.
type told struct {
	at  time.Time
	add time.Duration
}

// toldBy compares two stamps of one instant. A clock of whole seconds showed the
// last one that had passed, half a second ago on average.
func toldBy(right, wrong cull.Stamp) told {
	middle := func(s cull.Stamp) time.Time {
		if s.Digits == 0 {
			return s.Wall.Add(500 * time.Millisecond)
		}
		return s.Wall
	}
	return told{wrong.Wall, middle(right).Sub(middle(wrong))}
}

// offsets turns what pairs say of one body into its settings.
func offsets(b cull.Body, list []told, frames map[cull.ID]cull.Frame) []Setting {
	slices.SortStableFunc(list, func(p, q told) int { return p.at.Compare(q.at) })
	name := cmp.Or(b.Letter, b.Serial)
	var out []Setting
	for from := 0; from < len(list); {
		to, sum := from, time.Duration(0)
		for to < len(list) && (list[to].add-list[from].add).Abs() <= agree {
			sum += list[to].add - list[from].add
			to++
		}
		add := list[from].add + sum/time.Duration(to-from)
		s := Setting{Body: name, Add: &add}
		if from > 0 {
			s.From = afterPause(b, list[from-1].at, list[from].at, frames)
		}
		out = append(out, s)
		from = to
	}
	return out
}

// afterPause is the time of the frame that follows the longest pause between two
// moments of a body's clock.
func afterPause(b cull.Body, from, to time.Time, frames map[cull.ID]cull.Frame) time.Time {
	var times []time.Time
	for _, f := range frames {
		if w := f.Taken.Wall; f.Body == b.Key && f.Taken.Known() && !w.Before(from) && !w.After(to) {
			times = append(times, w)
		}
	}
	slices.SortFunc(times, time.Time.Compare)
	at, longest := to, time.Duration(0)
	for i := 1; i < len(times); i++ {
		if pause := times[i].Sub(times[i-1]); pause > longest {
			at, longest = times[i], pause
		}
	}
	return at
}
