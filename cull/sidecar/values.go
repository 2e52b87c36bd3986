package sidecar

import (
	"strconv"
	"strings"

	"garner/preview/xmp"
)

// Values is what we state about a frame; nil and "" state nothing.
type Values struct {
	Rating             *int  // -1 to 5
	Good               *bool // whether the frame is a keeper
	Scene, CameraLabel string
	// Keywords are the ones of dc:subject that are ours. nil in a request means
	// that keywords were not asked for: ours stay, unless all is withdrawn.
	Keywords []string
	// MetadataDate is the time of the frame's last journal entry as an XMP
	// date ("2026-06-13T14:02:11.130+02:00").
	MetadataDate string
}

// IsZero reports whether nothing is stated. A date alone states nothing.
func (v Values) IsZero() bool {
	return v.Rating == nil && v.Good == nil && v.Scene == "" && v.CameraLabel == "" && len(v.Keywords) == 0
}

// Read returns what a sidecar states, by whomever. A rating that is not a whole
// number from -1 to 5 is left out. Errors are those of xmp.Parse.
func Read(b []byte) (Values, error) {
	doc, err := xmp.Parse(b)
	if err != nil {
		return Values{}, err
	}
	var v Values
	for _, f := range fields() {
		text, _ := doc.Get(f.ns, f.name)
		f.put(&v, trim(text))
	}
	v.Keywords = doc.Bag(xmp.NSDC, "subject")
	v.MetadataDate, _ = doc.Get(xmp.NSXMP, "MetadataDate")
	return v, nil
}

// Action says what became of a sidecar.
type Action string

// The actions, as handoff reports them. Conflict may come with bytes to write:
// what could be merged without touching somebody else's value.
const (
	Written   Action = "written"
	Merged    Action = "merged"
	Unchanged Action = "unchanged"
	Withdrawn Action = "withdrawn"
	Conflict  Action = "conflict"
	Failed    Action = "failed"
)

// Request is what Merge needs to know.
type Request struct {
	Old     []byte  // the sidecar as it is; nil = there is none
	Want    Values  // zero = the frame is open again
	Last    *Values // Result.Wrote of the last time; nil = unknown or never
	Replace bool    // replace somebody else's values
}

// Result is what to do with the sidecar.
type Result struct {
	Action Action
	Bytes  []byte // what to write; nil = leave the file alone
	Reason string // for conflict and failed; strings from the file are quoted
	Wrote  Values // what in the file is ours after this, to be passed as Last
}

// field is one of the simple properties, as text.
type field struct {
	ns, prefix, name string
	get              func(*Values) string // "" = not stated
	put              func(*Values, string)
	same             func(a, b string) bool // equal in meaning
	nobodys          func(string) bool      // states nothing
	judges           bool                   // stands or falls with the other judgement
}

func fields() []field {
	text := func(a, b string) bool { return trim(a) == trim(b) }
	empty := func(s string) bool { return trim(s) == "" }
	return []field{
		{xmp.NSXMP, "xmp", "Rating", ratingText, putRating, sameRating, unrated, true},
		{xmp.NSXMPDM, "xmpDM", "good", goodText, putGood, sameGood, empty, true},
		{xmp.NSXMPDM, "xmpDM", "scene",
			func(v *Values) string { return v.Scene },
			func(v *Values, s string) { v.Scene = s }, text, empty, false},
		{xmp.NSXMPDM, "xmpDM", "cameraLabel",
			func(v *Values) string { return v.CameraLabel },
			func(v *Values, s string) { v.CameraLabel = s }, text, empty, false},
	}
}

func trim(s string) string { return strings.Trim(s, " \t\r\n") }

func ratingText(v *Values) string {
	if v.Rating == nil {
		return ""
	}
	return strconv.Itoa(*v.Rating)
}

func putRating(v *Values, s string) {
	v.Rating = nil
	if r, ok := xmp.ParseRating(s); ok && r == float64(int(r)) {
		n := int(r)
		v.Rating = &n
	}
}

func sameRating(a, b string) bool {
	x, okX := xmp.ParseRating(a)
	y, okY := xmp.ParseRating(b)
	return okX && okY && x == y
}

func unrated(s string) bool {
	r, ok := xmp.ParseRating(s)
	return trim(s) == "" || ok && r == 0
}

func goodText(v *Values) string {
	switch {
	case v.Good == nil:
		return ""
	case *v.Good:
		return "True" // ISO 16684-1 §8.2.1.1 spells it so
	}
	return "False"
}

func putGood(v *Values, s string) {
	v.Good = nil
	if b, ok := parseBool(s); ok {
		v.Good = &b
	}
}

func sameGood(a, b string) bool {
	x, okX := parseBool(a)
	y, okY := parseBool(b)
	return okX && okY && x == y
}

// parseBool reads a Boolean, tolerant of the capital letter.
func parseBool(s string) (value, ok bool) {
	switch strings.ToLower(trim(s)) {
	case "true":
		return true, true
	case "false":
		return false, true
	}
	return false, false
}
