// Package scenes lists the scenes of a job and changes them by hand: where they
// begin and what they are called.
package scenes

import (
	"slices"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// Row is one scene.
type Row struct {
	cull.Scene
	Named              bool      // a person has named it
	From, Until        time.Time // corrected, wall clock; zero = no time is known
	Frames, Kept, Open int
	Bodies             []string // letters, in their order
}

// List returns the scenes in order.
func List(l job.Loaded) []Row {
	layout := l.Session.Layout()
	letters := map[string]string{}
	for _, b := range l.Bodies {
		letters[b.Key] = b.Letter
	}
	rows := make([]Row, len(layout.Scenes))
	for i, s := range layout.Scenes {
		rows[i] = Row{Scene: s, Named: s.Name != cull.SceneNumber(i)}
	}
	for _, p := range layout.Places {
		if p.Scene < 0 || p.Scene >= len(rows) {
			continue
		}
		r := &rows[p.Scene]
		r.Frames++
		if t := p.Corrected.Wall; !t.IsZero() {
			if r.From.IsZero() || t.Before(r.From) {
				r.From = t
			}
			if t.After(r.Until) {
				r.Until = t
			}
		}
		switch l.Session.Outcome(p.Frame) {
		case cull.Yes: // material for a merge is no picture more
			r.Kept++
		case cull.Open:
			r.Open++
		}
		if letter := letters[l.Frames[p.Frame].Body]; letter != "" && !slices.Contains(r.Bodies, letter) {
			r.Bodies = append(r.Bodies, letter)
		}
	}
	for i := range rows {
		slices.Sort(rows[i].Bodies)
	}
	return rows
}
