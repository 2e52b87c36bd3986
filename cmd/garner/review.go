package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/review"
)

// reviewOf makes the review of a job as it stands.
func reviewOf(j *job.Job) (review.Page, error) {
	l, err := j.Load()
	if err != nil {
		return review.Page{}, err
	}
	has, err := j.Has()
	if err != nil {
		return review.Page{}, err
	}
	settings := j.Settings()
	for i, b := range l.Bodies {
		l.Bodies[i].Photographer = settings.Photographer(b)
	}
	in := review.Input{Session: l.Session, Frames: l.Frames, Bodies: l.Bodies, Goal: settings.Goal, Has: has}
	for _, m := range settings.MustHave {
		in.Musts = append(in.Musts, review.Wanted(m))
	}
	return review.Make(in), nil
}

func (d desk) review(dir string, f jobFlags, j *job.Job) error {
	p, err := reviewOf(j)
	if err != nil {
		return err
	}
	if f.json {
		return d.object(reviewObject(p))
	}
	d.showReview(jobWords(dir, f), j, p)
	return nil
}

// maxReviewLines bounds the lines of a kind that are written one by one.
const maxReviewLines = 8

func (d desk) showReview(words string, j *job.Job, p review.Page) {
	goal := ""
	if p.Goal > 0 {
		goal = fmt.Sprintf(", goal %d", p.Goal)
	}
	d.sayf("%s: %d of %s kept%s", cull.Plain(filepath.Base(j.Root())), p.Kept, count(p.Frames, "frame"), goal)
	if len(p.Lines) == 0 {
		d.sayf("nothing is missing")
	} else {
		d.sayf("worth a look; garner cull %s --on NAME opens the station on one of these:", words)
	}
	wide := 0
	for _, l := range p.Lines {
		wide = max(wide, len(p.Name(l)))
	}
	for _, k := range p.Kinds() {
		lines := p.OfKind(k)
		for _, l := range lines[:min(len(lines), maxReviewLines)] {
			on := "--on " + p.Name(l)
			if l.Frames == nil {
				on = "" // there is no frame to open it on
			}
			d.sayf("  %-*s  %s", wide+len("--on "), on, l.Text)
		}
		if more := len(lines) - maxReviewLines; more > 0 {
			d.sayf("  %-*s  and %d more like that, all of them together", wide+len("--on "), "--on "+string(k), more)
		}
	}
	d.showShares("scene", p.ByScene)
	d.showShares("hour", p.ByHour)
	d.showShares("body", p.ByBody)
}

// showShares writes a table, two columns where names are short.
func (d desk) showShares(name string, shares []review.Share) {
	if len(shares) == 0 {
		return
	}
	d.sayf("kept by %s:", name)
	cells, wide := make([]string, len(shares)), 0
	for _, s := range shares {
		wide = max(wide, utf8.RuneCountInString(s.Name))
	}
	for i, s := range shares {
		cells[i] = fmt.Sprintf("%-*s %5d of %-5d", wide, s.Name, s.Kept, s.Frames)
		if s.Goal > 0 {
			cells[i] += fmt.Sprintf(" goal %-4d", s.Goal)
		}
		if s.Open > 0 {
			cells[i] += fmt.Sprintf(" %d open", s.Open)
		}
	}
	columns, most := 1, 0
	for _, c := range cells {
		most = max(most, utf8.RuneCountInString(c))
	}
	if len(cells) > 6 && 2*most+4 <= 90 {
		columns = 2
	}
	rows := (len(cells) + columns - 1) / columns
	for i := range rows {
		line := cells[i]
		if columns == 2 && i+rows < len(cells) {
			line = fmt.Sprintf("%-*s    %s", most, cells[i], cells[i+rows])
		}
		d.sayf("  %s", strings.TrimRight(line, " "))
	}
}

type jsonReviewLine struct {
	Kind   string    `json:"kind"`
	N      int       `json:"n"`
	On     *string   `json:"on"` // how cull --on knows it; null = there is no frame to be shown
	Text   string    `json:"text"`
	Frames []cull.ID `json:"frames"`
}

type jsonShare struct {
	Name   string `json:"name"`
	Kept   int    `json:"kept"`
	Open   int    `json:"open"`
	Frames int    `json:"frames"`
	Goal   *int   `json:"goal"`
}

type jsonReview struct {
	V       int              `json:"v"`
	Frames  int              `json:"frames"`
	Kept    int              `json:"kept"`
	Goal    *int             `json:"goal"`
	Lines   []jsonReviewLine `json:"lines"`
	ByScene []jsonShare      `json:"by_scene"`
	ByHour  []jsonShare      `json:"by_hour"`
	ByBody  []jsonShare      `json:"by_body"`
}

func reviewObject(p review.Page) jsonReview {
	o := jsonReview{V: 1, Frames: p.Frames, Kept: p.Kept, Goal: known(p.Goal), Lines: []jsonReviewLine{},
		ByScene: shareObjects(p.ByScene), ByHour: shareObjects(p.ByHour), ByBody: shareObjects(p.ByBody)}
	for _, l := range p.Lines {
		line := jsonReviewLine{string(l.Kind), l.N, nil, l.Text, append([]cull.ID{}, l.Frames...)}
		if l.Frames != nil {
			line.On = known(p.Name(l))
		}
		o.Lines = append(o.Lines, line)
	}
	return o
}

func shareObjects(shares []review.Share) []jsonShare {
	list := make([]jsonShare, 0, len(shares))
	for _, s := range shares {
		list = append(list, jsonShare{s.Name, s.Kept, s.Open, s.Frames, known(s.Goal)})
	}
	return list
}
