package review

import (
	"math"

	"garner/cull"
)

// shares counts what was kept by scene, by hour of the corrected clock and by body.
func (v *view) shares() (scenes, hours, bodies []Share) {
	byScene := tally{in: v}
	for i := range v.layout.Scenes {
		byScene.part(v.sceneName(i))
	}
	byHour, byBody := tally{in: v}, tally{in: v}
	days := map[string]bool{}
	for _, p := range v.layout.Places {
		if p.Corrected.Known() {
			days[p.Corrected.Wall.Format("01-02")] = true
		}
	}
	hour := "15:00"
	if len(days) > 1 {
		hour = "01-02 15:00"
	}
	letters := map[string]string{"": "unknown"}
	for _, b := range v.Bodies {
		if letters[b.Key] = b.Letter; b.Letter == "" {
			letters[b.Key] = b.Model
		}
		if b.Photographer != "" {
			letters[b.Key] += " (" + b.Photographer + ")"
		}
		letters[b.Key] = cull.Plain(letters[b.Key])
		byBody.part(letters[b.Key])
	}
	// Hours in the order of time, which is not that of the places where look-alikes
	// stand beside each other.
	for _, name := range hoursInOrder(v.layout.Places, hour) {
		byHour.part(name)
	}
	for i, p := range v.layout.Places {
		byScene.add(v.sceneName(p.Scene), v.answers[i])
		byHour.add(hourOf(p, hour), v.answers[i])
		byBody.add(letters[v.Frames[p.Frame].Body], v.answers[i])
	}
	return byScene.list(), byHour.list(), byBody.list()
}

// tally counts parts by name.
type tally struct {
	in     *view
	shares []Share
	at     map[string]int
}

func (t *tally) part(name string) int {
	i, ok := t.at[name]
	if !ok {
		if t.at == nil {
			t.at = map[string]int{}
		}
		i = len(t.shares)
		t.at[name] = i
		t.shares = append(t.shares, Share{Name: name})
	}
	return i
}

func (t *tally) add(name string, a cull.Answer) {
	s := &t.shares[t.part(name)]
	s.Frames++
	switch {
	case a == cull.Yes:
		s.Kept++
	case a == cull.Open:
		s.Open++
	}
}

// list leaves out parts without frames.
func (t *tally) list() []Share {
	var out []Share
	for _, s := range t.shares {
		if s.Frames == 0 {
			continue
		}
		if t.in.Goal > 0 {
			s.Goal = int(math.Round(float64(t.in.Goal) * float64(s.Frames) / float64(len(t.in.layout.Places))))
		}
		out = append(out, s)
	}
	return out
}
