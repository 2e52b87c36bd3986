package station

import (
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"garner/cull"
)

// Match is a frame that go-to found.
type Match struct {
	Frame cull.ID
	Name  string // as it can be typed
	What  string // why it was found
}

// maxMatches bounds what Find returns.
const maxMatches = 50

// finder looks for frames of a job.
type finder struct {
	session *cull.Session
	name    func(cull.ID) string
}

// Find looks for frames by what a person types.
func (d *Desk) Find(text string) []Match { return finder{d.session, d.name}.find(text) }

// find looks for a number in the order of the job, a time such as 14:05 or 14:05:30, a
// scene's name or number, or a part of a frame's name. What fits best comes first.
func (d finder) find(text string) []Match {
	text = strings.TrimSpace(text)
	if text == "" {
		return nil
	}
	var found []Match
	found = append(found, d.findNumber(text)...)
	found = append(found, d.findTime(text)...)
	found = append(found, d.findScene(text)...)
	found = append(found, d.findName(text)...)
	seen := map[cull.ID]bool{}
	found = slices.DeleteFunc(found, func(m Match) bool {
		again := seen[m.Frame] && m.Name == d.name(m.Frame)
		seen[m.Frame] = true
		return again
	})
	return found[:min(len(found), maxMatches)]
}

func (d finder) findNumber(text string) []Match {
	n, err := strconv.Atoi(text)
	places := d.session.Layout().Places
	if err != nil || n < 1 || n > len(places) || text[0] == '0' { // 03 is a scene
		return nil
	}
	id := places[n-1].Frame
	return []Match{{id, text, fmt.Sprintf("frame %d of %d: %s", n, len(places), d.name(id))}}
}

// findTime finds the first frame at or after a time of day. Where the job goes
// over midnight each day has its own.
func (d finder) findTime(text string) []Match {
	var at time.Time
	var err error
	for _, form := range []string{"15:04:05", "15:04", "15h04", "15:"} {
		if at, err = time.Parse(form, text); err == nil {
			break
		}
	}
	if err != nil {
		return nil
	}
	want := time.Duration(at.Hour())*time.Hour + time.Duration(at.Minute())*time.Minute + time.Duration(at.Second())*time.Second
	var found []Match
	day := ""
	for _, p := range d.session.Layout().Places {
		w := p.Corrected.Wall
		if w.IsZero() || w.Format(time.DateOnly) == day {
			continue
		}
		y, m, dd := w.Date()
		if w.Sub(time.Date(y, m, dd, 0, 0, 0, 0, time.UTC)) >= want {
			day = w.Format(time.DateOnly)
			found = append(found, Match{p.Frame, w.Format("15:04:05"), w.Format("2 January") + ": " + d.name(p.Frame)})
		}
	}
	return found
}

func (d finder) findScene(text string) []Match {
	l := d.session.Layout()
	first := map[int]cull.ID{}
	count := map[int]int{}
	for _, p := range l.Places {
		if count[p.Scene] == 0 {
			first[p.Scene] = p.Frame
		}
		count[p.Scene]++
	}
	var found []Match
	low := strings.ToLower(strings.TrimPrefix(strings.ToLower(text), "scene "))
	for i, s := range l.Scenes {
		if count[i] == 0 || !strings.HasPrefix(strings.ToLower(s.Name), low) {
			continue
		}
		w := ""
		if p, ok := d.session.Place(first[i]); ok && p.Corrected.Known() {
			w = ", from " + p.Corrected.Wall.Format("15:04:05")
		}
		found = append(found, Match{first[i], s.Name, fmt.Sprintf("scene of %d frames%s", count[i], w)})
	}
	return found
}

// findName finds frames whose name begins with the text, then those that have it
// anywhere.
func (d finder) findName(text string) []Match {
	low := strings.ToLower(text)
	var begins, holds []Match
	for i, p := range d.session.Layout().Places {
		name := d.name(p.Frame)
		lower := strings.ToLower(name)
		m := Match{p.Frame, name, fmt.Sprintf("frame %d, %s", i+1, p.Corrected.Wall.Format("15:04:05"))}
		if p.Corrected.Wall.IsZero() {
			m.What = fmt.Sprintf("frame %d", i+1)
		}
		switch {
		case strings.HasPrefix(lower, low) || strings.HasPrefix(path.Base(lower), low):
			begins = append(begins, m)
		case strings.Contains(lower, low):
			holds = append(holds, m)
		}
		if len(begins) >= maxMatches {
			break
		}
	}
	return append(begins, holds...)
}
