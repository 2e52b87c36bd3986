package main

import (
	"time"

	"garner/cull/intake"
)

// The stream of offload --json. "plan" comes when it is known what the cards hold,
// "file" for each file as it is finished, "progress" at most once a second a card,
// "card" when one is finished, and "done" at the end, also when files failed or it
// was interrupted. Times are those that the body's clock showed.
type (
	jsonPlan struct {
		V            int               `json:"v"`
		Event        string            `json:"event"`
		Cards        []jsonTakenCard   `json:"cards"`
		Destinations []jsonDestination `json:"destinations"`
	}
	jsonTaken struct {
		V        int              `json:"v"`
		Event    string           `json:"event"`
		Card     int              `json:"card"`
		Path     string           `json:"path"` // below the card
		Raw      string           `json:"raw,omitempty"`
		To       *string          `json:"to"` // below every destination; null = not copied
		RawTo    string           `json:"raw_to,omitempty"`
		Size     int64            `json:"size"`
		SHA256   *string          `json:"sha256"` // null = not read to its end
		State    intake.FileState `json:"state"`
		Probably bool             `json:"probably"` // a dry run: ends compared, not bytes
		Notes    []string         `json:"notes"`
		Why      string           `json:"why,omitempty"`
		Proven   int              `json:"proven"` // devices that it was read back from
		Places   []jsonPlace      `json:"places"` // as destinations
	}
	jsonPlace struct {
		State      *string `json:"state"`       // copied, present, failed
		FromMedium bool    `json:"from_medium"` // read back past the system's cache
		Why        string  `json:"why,omitempty"`
	}
	jsonFar struct {
		V          int      `json:"v"`
		Event      string   `json:"event"`
		Card       int      `json:"card"`
		Files      int      `json:"files"`
		Total      int      `json:"total"`
		Bytes      int64    `json:"bytes"`
		All        int64    `json:"all"`
		PerSecond  *float64 `json:"per_second"`
		Left       *float64 `json:"seconds_left"`
		Activities []string `json:"activities"` // as destinations; "" = none
	}
	jsonDay struct {
		Day   *string `json:"day"`
		Files int     `json:"files"`
		Taken bool    `json:"taken"`
	}
	jsonTakenCard struct {
		V       int       `json:"v"`
		Event   string    `json:"event,omitempty"`
		Card    int       `json:"card"`
		Root    string    `json:"root"`
		Raw     string    `json:"raw,omitempty"`
		Label   *string   `json:"label"`
		DCIM    bool      `json:"dcim"`
		Bodies  []string  `json:"bodies"`
		First   *string   `json:"first"`
		Last    *string   `json:"last"`
		From    *string   `json:"from"`
		Until   *string   `json:"until"`
		Frames  int       `json:"frames"`
		Files   int       `json:"files"`
		Bytes   int64     `json:"bytes"`
		Days    []jsonDay `json:"days"`
		Notes   []string  `json:"notes"`
		Litter  []string  `json:"litter"`
		Copied  int       `json:"copied"`
		Known   int       `json:"known"`
		Aside   int       `json:"aside"`
		Left    int       `json:"left"`
		Failed  int       `json:"failed"`
		Written int64     `json:"bytes_written"` // to each destination
		Seconds float64   `json:"seconds"`
		Safe    *bool     `json:"safe"` // may be formatted; null = not finished, a dry run, or not all of it was taken
		Why     []string  `json:"why"`
		Remarks []string  `json:"remarks"`
	}
	jsonDestination struct {
		Root  string  `json:"root"`
		Raw   string  `json:"raw,omitempty"`
		Label *string `json:"label"`
		Disk  *string `json:"disk"`
		Free  *int64  `json:"free"`
		Needs int64   `json:"needs"`
		Down  *string `json:"down"`
		Swept int     `json:"swept"`
	}
	jsonOffloaded struct {
		V            int               `json:"v"`
		Event        string            `json:"event"`
		DryRun       bool              `json:"dry_run"`
		Interrupted  bool              `json:"interrupted"`
		Cards        []jsonTakenCard   `json:"cards"`
		Destinations []jsonDestination `json:"destinations"`
		Devices      int               `json:"devices"`
		Failed       int               `json:"failed"`
		Alarms       []string          `json:"alarms"`
		Warnings     []string          `json:"warnings"`
		Seconds      float64           `json:"seconds"`
	}
)

func (t *teller) planObject(cards []*intake.Card) jsonPlan {
	o := jsonPlan{1, "plan", []jsonTakenCard{}, []jsonDestination{}}
	for _, d := range t.destinations {
		o.Destinations = append(o.Destinations, destinationObject(d.Destination))
	}
	for _, c := range cards {
		o.Cards = append(o.Cards, t.cardOf(c))
	}
	return o
}

func (t *teller) fileObject(c *intake.Card, f intake.File) jsonTaken {
	o := jsonTaken{V: 1, Event: "file", Card: c.Number, Path: f.Path, Raw: rawName(f.Path), To: known(f.To), RawTo: rawName(f.To),
		Size: f.Size, SHA256: known(f.Sum), State: f.State, Probably: f.Probably, Notes: listOf(f.Notes), Why: f.Why, Proven: f.Proven, Places: []jsonPlace{}}
	for _, p := range f.Places {
		o.Places = append(o.Places, jsonPlace{known(p.State), p.FromMedium, p.Why})
	}
	return o
}

func (t *teller) progressObject(c *intake.Card) jsonFar {
	o := jsonFar{V: 1, Event: "progress", Card: c.Number, Files: c.DoneFiles, Total: c.Files, Bytes: c.DoneBytes, All: c.Bytes,
		PerSecond: known(c.PerSecond), Activities: listOf(c.Activities)}
	if c.Left > 0 {
		s := c.Left.Seconds()
		o.Left = &s
	}
	return o
}

func (t *teller) cardObject(c *intake.Card) jsonTakenCard {
	o := t.cardOf(c)
	o.Event = "card"
	return o
}

func (t *teller) cardOf(c *intake.Card) jsonTakenCard {
	o := jsonTakenCard{V: 1, Card: c.Number, Root: c.Root, Raw: rawName(c.Root), Label: known(c.Label), DCIM: c.DCIM, Bodies: listOf(c.Bodies),
		First: known(c.First), Last: known(c.Last), From: clockOf(c.From), Until: clockOf(c.Until), Frames: c.Frames, Files: c.Files, Bytes: c.Bytes,
		Days: []jsonDay{}, Notes: listOf(c.Notes), Litter: listOf(c.Litter), Copied: c.Copied, Known: c.Known, Aside: c.Aside, Left: c.LeftOut,
		Failed: len(c.Failed), Written: c.CopyBytes, Seconds: c.Took.Seconds(), Why: listOf(c.Why), Remarks: listOf(c.Remarks)}
	for _, d := range c.Days {
		o.Days = append(o.Days, jsonDay{known(d.Day), d.Files, d.Taken})
	}
	if c.Ended && !t.f.dry && !t.partly {
		o.Safe = &c.Safe
	}
	return o
}

func destinationObjects(list []intake.Destination) []jsonDestination {
	out := []jsonDestination{}
	for _, d := range list {
		out = append(out, destinationObject(d))
	}
	return out
}

func destinationObject(d intake.Destination) jsonDestination {
	return jsonDestination{d.Root, rawName(d.Root), known(d.Label), known(d.Disk), known(d.Free), d.Needs, known(d.Down), d.Swept}
}

func (t *teller) doneObject(r intake.Report) jsonOffloaded {
	o := jsonOffloaded{V: 1, Event: "done", DryRun: t.f.dry, Interrupted: r.Interrupted, Cards: []jsonTakenCard{}, Destinations: destinationObjects(r.Destinations),
		Devices: r.Devices, Failed: r.Bad(), Alarms: listOf(r.Alarms), Warnings: listOf(r.Warnings), Seconds: r.Took.Seconds()}
	for _, c := range r.Cards {
		o.Cards = append(o.Cards, t.cardOf(c))
	}
	return o
}

// listOf is a list that JSON shows as [] when it is empty.
func listOf(s []string) []string { return append([]string{}, s...) }

// clockOf is what a body's clock showed.
func clockOf(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	s := t.Format("2006-01-02T15:04:05")
	return &s
}
