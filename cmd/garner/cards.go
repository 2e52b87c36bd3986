package main

import (
	"fmt"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/gaps"
	"garner/cull/job"
)

// showCards says what offloads left on record.
func (d desk) showCards(s job.Status) {
	for _, c := range s.Cards {
		d.sayf("  card %s: %s", cardName(c), cardVerdict(c))
	}
	for _, a := range s.Also {
		where := "reachable"
		if !a.Reachable {
			where = "not reachable now: the journal is not copied there"
		}
		d.sayf("  also in %s: %s", cull.Plain(a.Path), where)
	}
	for _, a := range s.Alarms {
		d.sayf("  alarm: %s", cull.Plain(a.Text()))
	}
	if s.FewMissing > 0 {
		d.sayf("  numbers missing here and there, as after deleting in the camera: %d", s.FewMissing)
	}
	const most = 6
	for _, p := range s.Damaged[:min(len(s.Damaged), most)] {
		d.sayf("  known to be damaged: %s", cull.Plain(p))
	}
	if more := len(s.Damaged) - most; more > 0 {
		d.sayf("  known to be damaged: %d more (--json lists them)", more)
	}
}

// cardName describes a card so that it can be told from the others: most have one
// label.
func cardName(c job.Card) string {
	parts := []string{}
	if c.Label != "" {
		parts = append(parts, c.Label)
	}
	if len(c.Bodies) > 0 {
		parts = append(parts, "of "+strings.Join(c.Bodies, " and "))
	}
	switch {
	case c.First != "" && c.First != c.Last:
		parts = append(parts, c.First+" to "+c.Last)
	case c.First != "":
		parts = append(parts, c.First)
	}
	text := strings.Join(append(parts, count(c.Frames, "frame")+" in "+count(c.Files, "file")), ", ")
	if !c.From.IsZero() {
		text += ", taken " + c.From.Format("2006-01-02 15:04") + " to " + c.Until.Format("2006-01-02 15:04")
	}
	return cull.Plain(text)
}

func cardVerdict(c job.Card) string {
	at := c.At.Local().Format("2006-01-02 15:04")
	if c.Safe {
		return "every file of it was proven at " + at
	}
	why := "it was not proven"
	if len(c.Why) > 0 {
		why = c.Why[0]
	}
	if more := len(c.Why) - 1; more > 0 {
		why += fmt.Sprintf(" (and %s)", count(more, "more reason"))
	}
	return fmt.Sprintf("keep it, not proven at %s: %s", at, cull.Plain(why))
}

type jsonCard struct {
	Key          string   `json:"key"`
	Label        *string  `json:"label"`
	Volume       *string  `json:"volume"`
	Bodies       []string `json:"bodies"`
	First        *string  `json:"first"`
	Last         *string  `json:"last"`
	From         *string  `json:"from"` // as the bodies' clocks showed it
	Until        *string  `json:"until"`
	Frames       int      `json:"frames"`
	Files        int      `json:"files"`
	Bytes        int64    `json:"bytes"`
	Destinations []string `json:"destinations"`
	Safe         bool     `json:"safe"`
	Why          []string `json:"why"`
	At           string   `json:"at"` // UTC
}

type jsonAlarm struct {
	Kind    string  `json:"kind"` // "numbers" or "silence"
	Body    string  `json:"body"`
	Missing int     `json:"missing"`
	From    *string `json:"from"` // names, of "numbers"
	To      *string `json:"to"`
	After   *string `json:"after"`
	Before  *string `json:"before"`
	Text    string  `json:"text"`
}

type jsonAlso struct {
	Path      string `json:"path"`
	Raw       string `json:"raw,omitempty"`
	Reachable bool   `json:"reachable"`
}

func (o *jsonStatus) addCards(s job.Status) {
	local := func(t time.Time) *string {
		if t.IsZero() {
			return nil
		}
		text := t.Format("2006-01-02T15:04:05")
		return &text
	}
	o.Cards, o.Alarms, o.Also, o.Damaged = []jsonCard{}, []jsonAlarm{}, []jsonAlso{}, append([]string{}, s.Damaged...)
	for _, c := range s.Cards {
		o.Cards = append(o.Cards, jsonCard{c.Key, known(c.Label), known(c.VolumeID), append([]string{}, c.Bodies...), known(c.First), known(c.Last),
			local(c.From), local(c.Until), c.Frames, c.Files, c.Bytes, append([]string{}, c.Destinations...), c.Safe, append([]string{}, c.Why...),
			c.At.UTC().Format(time.RFC3339)})
	}
	for _, a := range s.Alarms {
		kind := "numbers"
		if a.Kind == gaps.Silence {
			kind = "silence"
		}
		o.Alarms = append(o.Alarms, jsonAlarm{kind, a.Body, a.Missing, known(a.From), known(a.To), local(a.After), local(a.Before), a.Text()})
	}
	for _, a := range s.Also {
		o.Also = append(o.Also, jsonAlso{a.Path, rawName(a.Path), a.Reachable})
	}
}
