package output

import (
	"cmp"
	"strings"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/returned"
	"garner/preview/exif"
	"garner/preview/finished"
)

// Tie is what a job knows of a finished picture. The zero value is nothing.
type Tie struct {
	Frame   string    // name of its first frame, as in "A/IMG_0001"; "" = of none
	Scene   string    // name of that frame's scene, as in "01" or "First dance"; "" = of none
	SceneAt int       // that scene's place in the order of the job, from 1; 0 = of none
	Body    string    // letter of the body that took it; "" = not known
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
	list, err := bodiesNow(j)
	return bodies(list), err
}

// bodiesNow are the bodies of a job, with the photographers that the settings name now:
// a name that was put there since the frames were found counts, too.
func bodiesNow(j *job.Job) ([]cull.Body, error) {
	list, err := j.Bodies()
	for i := range list {
		list[i].Photographer = j.Settings().Photographer(list[i])
	}
	return list, err
}

// Of implements Ties.
func (b bodies) Of(_ string, p *finished.Picture) Tie {
	serial := strings.TrimSpace(p.Meta.Serial)
	if serial == "" {
		return Tie{}
	}
	for _, body := range b {
		if body.Serial == serial && (p.Meta.Model == "" || body.Model == "" || strings.EqualFold(strings.TrimSpace(body.Model), strings.TrimSpace(p.Meta.Model))) {
			return Tie{Body: body.Letter, Taken: Corrected(body, p.Meta.Taken), Creator: body.Photographer}
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
	return exifTime(b.Correct(s))
}

func exifTime(s cull.Stamp) exif.Time {
	return exif.Time{Wall: s.Wall, Digits: s.Digits, Zone: s.Zone, HasZone: s.ZoneIs != cull.ZoneUnknown && s.ZoneIs != ""}
}

// frames ties pictures to the frames that they show, and those of which no frame is
// known to their bodies.
type frames struct {
	ties   map[string]Tie // by path in finished/
	bodies bodies
}

// FrameTies makes ties of what package returned found: the time of a picture is the
// corrected one of its first frame, whatever the editor wrote.
func FrameTies(j *job.Job, m *returned.Matched) (Ties, error) {
	list, err := bodiesNow(j)
	if err != nil {
		return nil, err
	}
	known, err := j.Frames()
	if err != nil {
		return nil, err
	}
	layout, err := j.Layout()
	if err != nil {
		return nil, err
	}
	places := map[cull.ID]cull.Place{}
	for _, p := range layout.Places {
		places[p.Frame] = p
	}
	byKey := map[string]cull.Body{}
	for _, b := range list {
		byKey[b.Key] = b
	}
	t := frames{map[string]Tie{}, list}
	for _, tie := range m.Ties {
		if len(tie.Frames) == 0 || tie.State != returned.Tied && tie.State != returned.ByHand {
			continue
		}
		f, ok := known[tie.Frames[0]]
		if !ok {
			continue
		}
		path := strings.TrimPrefix(tie.Path, FinishedFolder+"/")
		place, ok := places[f.ID]
		one := Tie{Frame: f.Name, Body: byKey[f.Body].Letter, Taken: exifTime(place.Corrected), Creator: byKey[f.Body].Photographer}
		if ok && place.Scene >= 0 && place.Scene < len(layout.Scenes) {
			one.Scene, one.SceneAt = layout.Scenes[place.Scene].Name, place.Scene+1
		}
		t.ties[path] = one
	}
	return t, nil
}

// Of implements Ties.
func (t frames) Of(path string, p *finished.Picture) Tie {
	tie, body := t.ties[path], t.bodies.Of(path, p)
	if !tie.Taken.Known() {
		tie.Taken = body.Taken
	}
	tie.Body, tie.Creator = cmp.Or(tie.Body, body.Body), cmp.Or(tie.Creator, body.Creator)
	return tie
}
