package output

import (
	"strings"

	"garner/cull"
	"garner/cull/job"
	"garner/preview/exif"
	"garner/preview/finished"
)

// Tie is what a job knows of a finished picture. The zero value is nothing.
type Tie struct {
	Frame   string    // name of its first frame, as in "A/IMG_0001"; "" = of none
	Taken   exif.Time // corrected; not known = as the picture says
	Creator string    // for pictures that name nobody
}

// Ties finds what a job knows of finished pictures. It is asked by one goroutine.
type Ties interface {
	// Of is given the path in finished/, and the picture with its heads read.
	Of(path string, p *finished.Picture) Tie
}

// bodies ties a picture to the body that took it, by its serial number, and nothing
// more: that is enough for the clock.
type bodies []cull.Body

func bodyTies(j *job.Job) (Ties, error) {
	list, err := j.Bodies()
	return bodies(list), err
}

// Of implements Ties.
func (b bodies) Of(_ string, p *finished.Picture) Tie {
	serial := strings.TrimSpace(p.Meta.Serial)
	if serial == "" {
		return Tie{}
	}
	for _, body := range b {
		if body.Serial == serial && (p.Meta.Model == "" || body.Model == "" || strings.EqualFold(strings.TrimSpace(body.Model), strings.TrimSpace(p.Meta.Model))) {
			return Tie{Taken: Corrected(body, p.Meta.Taken), Creator: body.Photographer}
		}
	}
	return Tie{}
}

// Corrected is what a body's clock showed, put right.
func Corrected(b cull.Body, t exif.Time) exif.Time {
	if !t.Known() {
		return t
	}
	s := cull.Stamp{Wall: t.Wall, Digits: t.Digits, ZoneIs: cull.ZoneUnknown}
	if t.HasZone {
		s.Zone, s.ZoneIs = t.Zone, cull.ZoneKnown
	}
	s = b.Correct(s)
	return exif.Time{Wall: s.Wall, Digits: s.Digits, Zone: s.Zone, HasZone: s.ZoneIs != cull.ZoneUnknown && s.ZoneIs != ""}
}
