package main

import (
	"encoding/base64"
	"fmt"
	"slices"
	"unicode/utf8"

	"garner/cull"
)

// The machine output of DESIGN §6. Fields are added, never renamed; every
// object has "v":1; sizes are bytes and pixels, exposure bias is EV, unknown is
// null; paths are relative to the job with "/", and a name that is not UTF-8
// has its bytes in "raw" beside it.

type jsonTime struct {
	Local  *string `json:"local"`
	Zone   *string `json:"zone"`
	ZoneIs string  `json:"zone_is"`
}

func timeOf(s cull.Stamp) jsonTime {
	t := jsonTime{ZoneIs: string(cull.ZoneUnknown)}
	local, zone := s.Text()
	t.Local, t.Zone = known(local), known(zone)
	if zone != "" {
		t.ZoneIs = string(s.ZoneIs)
	}
	return t
}

type jsonExposure struct {
	Seconds *float64 `json:"seconds"`
	F       *float64 `json:"f"`
	ISO     *int     `json:"iso"`
	Bias    *float64 `json:"bias"`
	Flash   *bool    `json:"flash"`
}

// known is a pointer to v, or nil for the zero value that means "unknown".
func known[T comparable](v T) *T {
	var zero T
	if v == zero {
		return nil
	}
	return &v
}

type jsonPreview struct {
	File   string `json:"file"`
	Raw    string `json:"raw,omitempty"`
	Role   string `json:"role"`
	Offset int64  `json:"offset"`
	Length int64  `json:"length"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Whole  bool   `json:"whole"`
}

type jsonProblem struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// jsonMarks are what was marked in the body; null where the files and the job say
// nothing of it.
type jsonMarks struct {
	CameraRating *int  `json:"camera_rating"`
	Protected    *bool `json:"protected"`
}

type jsonFrame struct {
	V           int           `json:"v"`
	ID          cull.ID       `json:"id"`
	Frame       string        `json:"frame"`
	Raw         string        `json:"raw,omitempty"`
	Files       []string      `json:"files"`
	RawFiles    []string      `json:"raw_files,omitempty"` // all of files, where one is not UTF-8
	Kind        *string       `json:"kind"`
	Freed       bool          `json:"freed,omitempty"` // it lives on in a small picture, which is the first of files
	Body        *string       `json:"body"`
	Time        jsonTime      `json:"time"`
	Orientation *int          `json:"orientation"`
	Exposure    jsonExposure  `json:"exposure"`
	Marks       jsonMarks     `json:"marks"`
	Previews    []jsonPreview `json:"previews"`
	Fingerprint *string       `json:"fingerprint"`
	Problems    []jsonProblem `json:"problems"`
}

// frameObject is one frame as prepare --json prints it; letter is its body's.
func frameObject(f cull.Frame, letter string) jsonFrame {
	o := jsonFrame{
		V: 1, ID: f.ID, Frame: f.Name, Raw: rawName(f.Name), Kind: known(f.Kind), Freed: f.Freed(), Body: known(letter), Time: timeOf(f.Taken),
		Orientation: known(f.Shot.Orientation),
		Exposure:    jsonExposure{known(f.Shot.Seconds), known(f.Shot.FNumber), known(f.Shot.ISO), f.Shot.Bias, f.Shot.Flash},
		Marks:       jsonMarks{known(f.Shot.Rating), known(f.Shot.Protected)},
		Files:       []string{}, Previews: []jsonPreview{}, Problems: []jsonProblem{},
	}
	for _, file := range f.Files {
		o.Files = append(o.Files, file.Path)
	}
	if slices.ContainsFunc(o.Files, func(s string) bool { return !utf8.ValidString(s) }) {
		for _, s := range o.Files {
			o.RawFiles = append(o.RawFiles, base64.StdEncoding.EncodeToString([]byte(s)))
		}
	}
	for _, p := range f.Previews {
		o.Previews = append(o.Previews, jsonPreview{p.File, rawName(p.File), p.Role, p.Offset, p.Length, p.Width, p.Height, p.Whole})
	}
	for _, p := range f.Problems {
		o.Problems = append(o.Problems, jsonProblem{p.Code, p.Text})
	}
	if f.HasFingerprint {
		hex := fmt.Sprintf("%016x", f.Fingerprint)
		o.Fingerprint = &hex
	}
	return o
}

// rawName is the base64 of a name that JSON cannot carry; "" for UTF-8.
func rawName(s string) string {
	if utf8.ValidString(s) {
		return ""
	}
	return base64.StdEncoding.EncodeToString([]byte(s))
}

type jsonScene struct {
	ID   int    `json:"id"`
	Name string `json:"name"`
}

// jsonGroup is one frame's place in the layout.
type jsonGroup struct {
	V          int       `json:"v"`
	Group      cull.ID   `json:"group"`
	Order      int       `json:"order"`
	Moment     int       `json:"moment"`
	MomentKind string    `json:"moment_kind"`
	Series     *string   `json:"series"` // of a series: bracket, panorama, focus stack, together; null = none, or not known
	Alike      *int      `json:"alike"`  // set of look-alikes, from 1; null = none
	Scene      jsonScene `json:"scene"`
	Corrected  jsonTime  `json:"corrected"`
}

func groupObject(l cull.Layout, i int) jsonGroup {
	p := l.Places[i]
	return jsonGroup{1, p.Frame, i, p.Moment, string(p.Kind), known(string(p.Series)), known(p.Alike), jsonScene{p.Scene, l.Scenes[p.Scene].Name}, timeOf(p.Corrected)}
}

type jsonOther struct {
	V     int    `json:"v"`
	Other string `json:"other"`
	Raw   string `json:"raw,omitempty"`
	Why   string `json:"why"`
}
