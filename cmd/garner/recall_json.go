package main

import (
	"garner/cull"
	"garner/cull/recall"
)

type jsonHit struct {
	V         int               `json:"v"`
	ID        cull.ID           `json:"id"`
	Frame     string            `json:"frame"`
	Raw       string            `json:"raw,omitempty"`
	Job       string            `json:"job"`
	Place     jsonPath          `json:"place"`
	Time      jsonTime          `json:"time"`
	Corrected jsonTime          `json:"corrected"`
	Body      *string           `json:"body"`
	Model     *string           `json:"model"`
	Serial    *string           `json:"serial"`
	Scene     *string           `json:"scene"`
	Moment    int               `json:"moment"`
	Answers   map[string]string `json:"answers"` // by pass; what is open is not there
	Delivered []string          `json:"delivered"`
	Unlike    *float64          `json:"unlike_bits"`       // its look, from the picture that was asked for, 0 to 32
	Agrees    *float64          `json:"agrees"`            // share of the picture that its thumbnail has in the same places; null = nobody looked
	Share     *float64          `json:"share"`             // of the frame's longer side that it shows
	Distance  *float64          `json:"face_distance"`     // from the face that was asked for; up to 0.55 it is alike, up to 0.60 maybe
	FaceAt    *[4]float64       `json:"face_region_share"` // x, y, width, height of the upright picture
	Best      *jsonBest         `json:"best"`              // null = no file of it is there
	Taken     *jsonCopied       `json:"taken,omitempty"`
}

// jsonPath is an absolute path as the system writes it.
type jsonPath struct {
	Path string `json:"path"`
	Raw  string `json:"raw,omitempty"`
}

type jsonBest struct {
	Is string `json:"is"`
	jsonPath
}

type jsonCopied struct {
	State  string  `json:"state"`
	Reason *string `json:"reason"`
	jsonPath
}

func pathObject(p string) jsonPath { return jsonPath{p, rawName(p)} }

func hitObject(h recall.Hit, t *recall.Taken, like bool) jsonHit {
	o := jsonHit{
		V: 1, ID: h.Frame, Frame: h.Name, Raw: rawName(h.Name), Job: h.Job, Place: pathObject(h.Place), Time: timeOf(h.Taken), Corrected: timeOf(h.Corrected),
		Body: known(h.Body.Letter), Model: known(h.Body.Model), Serial: known(h.Body.Serial), Scene: known(h.Scene), Moment: h.Moment,
		Answers: map[string]string{}, Delivered: append([]string{}, h.Delivered...),
	}
	for pass, a := range h.Answers {
		o.Answers[pass] = a.String()
	}
	if like {
		o.Unlike, o.Share = &h.Bits, &h.Share
		if h.Looked {
			o.Agrees = &h.Agrees
		}
	}
	if f := h.Face; f != nil {
		o.Distance, o.FaceAt = &f.Distance, &[4]float64{f.At.X, f.At.Y, f.At.W, f.At.H}
	}
	if h.Best.Kind != recall.NoFile {
		o.Best = &jsonBest{h.Best.Kind.String(), pathObject(h.Best.Path)}
	}
	if t != nil {
		o.Taken = &jsonCopied{State: t.State.String(), jsonPath: pathObject(t.Path)}
		if t.Err != nil {
			o.Taken.Reason = known(t.Err.Error())
		}
	}
	return o
}

type jsonBroken struct {
	Place jsonPath `json:"place"`
	Why   string   `json:"why"`
}

type jsonRecalled struct {
	V      int          `json:"v"`
	Done   bool         `json:"done"`
	Found  int          `json:"found"`
	Places int          `json:"places"`
	Frames int          `json:"frames"`
	Broken []jsonBroken `json:"broken"`
	Left   []jsonBroken `json:"left_out"`      // places whose faces nobody may look at
	Unseen *int         `json:"not_looked_at"` // frames whose faces could not be looked at; null = no face was asked for
}

func recallDone(l *recall.Library, q recallFlags, f recall.FaceFound) jsonRecalled {
	o := jsonRecalled{V: 1, Done: true, Found: f.Total, Broken: []jsonBroken{}, Left: []jsonBroken{}}
	if q.face != "" {
		n := len(f.Unseen)
		o.Unseen = &n
	}
	for _, r := range f.Refused {
		o.Left = append(o.Left, jsonBroken{pathObject(r.Dir), r.Err.Error()})
	}
	o.Places, o.Frames = l.Places()
	for _, b := range l.Broken() {
		o.Broken = append(o.Broken, jsonBroken{pathObject(b.Dir), b.Err.Error()})
	}
	return o
}
