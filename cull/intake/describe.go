package intake

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"garner/cull/intake/plan"
)

// describe says on a card what is on it, so that a person knows it among others of
// the same label.
func (r *run) describe(n int, s *source, p plan.Plan, letters map[string]string) {
	k := s.card
	bodies := map[string]string{}
	seen := map[string]bool{}
	for _, f := range s.plan.Files {
		if !f.Shot.Known() {
			continue
		}
		if key := path.Dir(f.Path) + "/" + strings.ToLower(strings.TrimSuffix(path.Base(f.Path), path.Ext(f.Path))); !seen[key] {
			seen[key] = true
			k.Frames++
		}
		if b := f.Shot.Body; b.Key != "" {
			bodies[letters[b.Key]] = strings.TrimSpace(letters[b.Key] + " " + b.Model + " " + b.Serial)
		}
		t := f.Shot.Taken
		if !t.Known() {
			continue
		}
		name := strings.TrimSuffix(path.Base(f.Path), path.Ext(f.Path))
		if k.First == "" || t.Wall.Before(k.From) {
			k.From, k.First = t.Wall, name
		}
		if k.Last == "" || !t.Wall.Before(k.Until) {
			k.Until, k.Last = t.Wall, name
		}
	}
	for _, b := range bodies {
		k.Bodies = append(k.Bodies, b)
	}
	slices.Sort(k.Bodies)
	if n < len(p.Days) {
		for day, files := range p.Days[n] {
			k.Days = append(k.Days, Day{Day: day, Files: files, Taken: len(r.o.Days) == 0 || slices.Contains(r.o.Days, day)})
		}
		slices.SortFunc(k.Days, func(a, b Day) int { return strings.Compare(a.Day, b.Day) })
	}
	if len(k.Days) > 1 && len(r.o.Days) == 0 {
		var parts []string
		for _, d := range k.Days {
			parts = append(parts, fmt.Sprintf("%s (%s)", d.Day, count(d.Files, "file")))
		}
		k.Notes = append(k.Notes, "holds several days: "+strings.Join(parts, ", ")+"; all are taken, --day takes one")
	}
}

// compareSlots says on the cards which frames the other slot lacks.
func (r *run) compareSlots(p plan.Plan) {
	for _, s := range p.Slots {
		if len(s.Missing) == 0 {
			continue
		}
		a, b := r.sources[s.A], r.sources[s.B]
		text := fmt.Sprintf("%s lacks %s of body %s that %s has: %s", b.plan.Name, count(len(s.Missing), "frame"), s.Letter, a.plan.Name, names(s.Missing))
		b.card.Notes = append(b.card.Notes, text)
	}
}
