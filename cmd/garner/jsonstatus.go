package main

import (
	"garner/cull"
	"garner/cull/job"
	"garner/cull/way"
)

type jsonOffset struct {
	From    *string `json:"from"` // on the body's own clock; null = from the start
	Seconds float64 `json:"seconds"`
	Zone    *string `json:"zone"`
}

type jsonBody struct {
	Label   *string      `json:"label"`
	Model   *string      `json:"model"`
	Serial  *string      `json:"serial"`
	Frames  int          `json:"frames"`
	Offsets []jsonOffset `json:"offsets"`
	By      *string      `json:"photographer"`
	Usual   *float64     `json:"usual_seconds"` // of the studio file; null = not said, or corrected already
}

type jsonPass struct {
	Source string `json:"source"`
	Yes    int    `json:"yes"`
	No     int    `json:"no"`
	Part   int    `json:"part"`
	Open   int    `json:"open"`
}

type jsonStatus struct {
	V          int                 `json:"v"`
	Frames     int                 `json:"frames"`
	Bodies     []jsonBody          `json:"bodies"`
	Moments    int                 `json:"moments"`
	Scenes     int                 `json:"scenes"`
	NotShown   int                 `json:"could_not_be_shown"`
	NoTime     int                 `json:"no_time"`
	Gone       int                 `json:"gone"`
	Freed      int                 `json:"freed"`    // frames that live on in a small picture, their originals being freed here
	Pictured   int                 `json:"pictured"` // other frames that are here as a small picture, as a bag had no more of them
	Aside      []string            `json:"aside"`    // originals that lie aside since freeing was interrupted, and get their names back
	Others     int                 `json:"others"`
	HandedOver int                 `json:"handed_over"`
	Passes     map[string]jsonPass `json:"passes"`
	Cards      []jsonCard          `json:"cards"`
	Alarms     []jsonAlarm         `json:"alarms"`
	Also       []jsonAlso          `json:"also"`
	Damaged    []string            `json:"damaged"`
	Measured   jsonMeasured        `json:"measured"`
	Consent    jsonConsents        `json:"consent"`
	Finished   int                 `json:"finished"`  // pictures that the editor gave back
	ToRender   int                 `json:"to_render"` // of them, those that a set lacks or that have changed
	Sets       map[string]int      `json:"sets"`      // files that were cut, by set
	Way        []jsonStep          `json:"way"`
	Next       string              `json:"next"`     // command that leads on
	Archived   *jsonArchived       `json:"archived"` // null = there is no bag
}

// jsonStep is a step of the way that a job takes.
type jsonStep struct {
	Step  string `json:"step"`
	State string `json:"state"` // done, partly, not yet, not needed
	Text  string `json:"text"`
}

func wayObject(w way.Way) []jsonStep {
	steps := []jsonStep{}
	for _, s := range w {
		steps = append(steps, jsonStep{s.Name, s.State.String(), s.Text})
	}
	return steps
}

// jsonMeasured counts the frames of which something was measured.
type jsonMeasured struct {
	Focus int `json:"focus"`
	Light int `json:"light"`
	Faces int `json:"faces"`
}

// jsonConsent is an answer that only a person can give.
type jsonConsent struct {
	Answer *string `json:"answer"` // yes, no; null = nobody was asked
	Who    *string `json:"who"`
	At     *string `json:"at"` // UTC
}

type jsonConsents struct {
	Faces  jsonConsent `json:"faces"`
	People jsonConsent `json:"people"`
}

func consentObject(c job.Consent) jsonConsent {
	if !c.Asked {
		return jsonConsent{}
	}
	answer, at := "no", c.At.UTC().Format("2006-01-02T15:04:05.000Z")
	if c.Yes {
		answer = "yes"
	}
	return jsonConsent{&answer, known(c.Who), &at}
}

func statusObject(s job.Status) jsonStatus {
	o := jsonStatus{V: 1, Frames: s.Frames - s.Gone, Bodies: []jsonBody{}, Moments: s.Moments, Scenes: s.Scenes, NotShown: len(s.NotShowable),
		NoTime: s.NoTime, Gone: s.Gone, Freed: s.Freed, Pictured: s.Pictured, Others: s.Others, HandedOver: s.HandedOver, Passes: map[string]jsonPass{}}
	for _, b := range s.Bodies {
		body := jsonBody{Label: known(b.Letter), Model: known(b.Model), Serial: known(b.Serial), Frames: b.Frames, Offsets: []jsonOffset{}}
		body.By = known(b.Photographer)
		if b.Usual != nil {
			seconds := b.Usual.Seconds()
			body.Usual = &seconds
		}
		for _, f := range b.Offsets {
			off := jsonOffset{Seconds: f.Add.Seconds()}
			if !f.From.IsZero() {
				from := f.From.Format("2006-01-02T15:04:05")
				off.From = &from
			}
			if f.Zone != nil {
				zone := cull.ZoneText(*f.Zone)
				off.Zone = &zone
			}
			body.Offsets = append(body.Offsets, off)
		}
		o.Bodies = append(o.Bodies, body)
	}
	for _, p := range s.Passes {
		source := "all"
		if p.Pass.Source.Of != "" {
			source = p.Pass.Source.Of + " " + p.Pass.Source.Answer.String()
		}
		o.Passes[p.Pass.Name] = jsonPass{source, p.Yes, p.No, p.Part, p.Open}
	}
	o.Measured = jsonMeasured(s.Measured)
	o.Consent = jsonConsents{consentObject(s.Faces), consentObject(s.People)}
	o.addCards(s)
	return o
}
