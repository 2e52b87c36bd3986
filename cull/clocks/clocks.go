// Package clocks corrects bodies' clocks: it reads corrections as a person writes
// them, works them out from two frames of one instant or from all pictures
// (clocks/match), and turns them into journal entries. A correction is written once
// and holds for every frame of the body, those to come included. No file is changed.
package clocks

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// Setting is one correction as it was asked for.
type Setting struct {
	Body string         // letter or serial number
	Add  *time.Duration // added to what the clock showed
	Zone *int           // minutes east of Greenwich
	From time.Time      // on the body's own clock; zero = from the start
	At   string         // the frame whose time on its own clock is From (see Find); "" = none
	Drop bool           // take the correction at From away
}

// ParseAdd reads BODY=DURATION, as in "B=-7m20s", "B=-440" (seconds) or
// "B=none", which takes a correction away; "B=+1h@0412" holds from a frame on.
func ParseAdd(s string) (Setting, error) {
	body, text, ok := strings.Cut(s, "=")
	if !ok || body == "" {
		return Setting{}, fmt.Errorf("a correction is written BODY=DURATION, as in B=-7m20s; got %q", s)
	}
	text, frame, on := strings.Cut(text, "@")
	if on && frame == "" {
		return Setting{}, fmt.Errorf("after @ comes the frame from which it holds, as in B=+1h@0412; got %q", s)
	}
	if text == "none" {
		return Setting{Body: body, Drop: true, At: frame}, nil
	}
	d, err := time.ParseDuration(text)
	if err != nil {
		seconds, serr := strconv.ParseFloat(text, 64)
		if serr != nil || seconds != seconds || seconds > 1e9 || seconds < -1e9 {
			return Setting{}, fmt.Errorf("%q is no duration such as -7m20s or +1h", text)
		}
		d = time.Duration(seconds * float64(time.Second))
	}
	return Setting{Body: body, Add: &d, At: frame}, nil
}

// ParseZone reads BODY=ZONE, as in "B=+02:00".
func ParseZone(s string) (Setting, error) {
	body, text, ok := strings.Cut(s, "=")
	if !ok || body == "" {
		return Setting{}, fmt.Errorf("a zone is written BODY=+HH:MM; got %q", s)
	}
	t, err := time.Parse("-07:00", text)
	if err != nil {
		return Setting{}, fmt.Errorf("%q is no zone such as +02:00", text)
	}
	_, east := t.Zone()
	minutes := east / 60
	return Setting{Body: body, Zone: &minutes}, nil
}

// ParseFrom reads the moment from which corrections hold, on the body's own
// clock: "2026-06-13 14:00" or "2026-06-13T14:00:05".
func ParseFrom(s string) (time.Time, error) {
	for _, layout := range []string{"2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02"} {
		if t, err := time.Parse(layout, s); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no moment such as 2026-06-13 14:00", s)
}

// Apply journals the settings. A body's offset and zone asked for in one call
// become one correction; what is not said stays as it was.
func Apply(j *job.Job, settings []Setting) error {
	bodies, err := j.Bodies()
	if err != nil {
		return err
	}
	type at struct {
		key  string
		from time.Time
	}
	made := map[at]*cull.Offset{}
	var order []at
	var entries []cull.Entry
	var frames frameNames
	for _, s := range settings {
		b, err := find(bodies, s.Body)
		if err != nil {
			return err
		}
		if s.At != "" {
			if s.From, err = frames.face(j, b, s.At); err != nil {
				return err
			}
		}
		if s.Drop {
			entries = append(entries, job.DropOffset(b.Key, s.From))
			continue
		}
		k := at{b.Key, s.From}
		if made[k] == nil {
			o := standing(b, s.From)
			made[k] = &o
			order = append(order, k)
		}
		if s.Add != nil {
			made[k].Add = *s.Add
		}
		if s.Zone != nil {
			made[k].Zone = s.Zone
		}
	}
	for _, k := range order {
		entries = append(entries, job.SetOffset(k.key, *made[k]))
	}
	_, err = j.Append(entries...)
	return err
}

// standing is the correction that holds at a moment already.
func standing(b cull.Body, from time.Time) cull.Offset {
	o := cull.Offset{From: from}
	for _, have := range b.Offsets {
		if !have.From.After(from) {
			o.Add, o.Zone = have.Add, have.Zone
		}
	}
	return o
}

func find(bodies []cull.Body, name string) (cull.Body, error) {
	var letters []string
	for _, b := range bodies {
		if b.Letter != "" && strings.EqualFold(b.Letter, name) || b.Serial != "" && b.Serial == name {
			return b, nil
		}
		if b.Letter != "" {
			letters = append(letters, b.Letter)
		}
	}
	return cull.Body{}, fmt.Errorf("no body is called %s; the job has %s", cull.Plain(name), strings.Join(letters, ", "))
}
