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
	Creator            string `json:",omitempty"` // who took the picture
	Credit             string `json:",omitempty"` // who is to be named
	Rights             string `json:",omitempty"` // in no language in particular
	Original           string `json:",omitempty"` // when the picture was taken, as an XMP date (exif:DateTimeOriginal)
	Created            string `json:",omitempty"` // the same as xmp:CreateDate
	// Keywords are the ones of dc:subject that are ours. nil in a request means
	// that keywords were not asked for: ours stay, unless all is withdrawn.
	Keywords []string
	// MetadataDate is the time of the frame's last journal entry as an XMP
	// date ("2026-06-13T14:02:11.130+02:00").
	MetadataDate string
}

// IsZero reports whether nothing is stated. A date alone states nothing.
func (v Values) IsZero() bool {
	return v.Rating == nil && v.Good == nil && v.Scene == "" && v.CameraLabel == "" && len(v.Keywords) == 0 &&
		v.Creator == "" && v.Credit == "" && v.Rights == "" && v.Original == "" && v.Created == ""
}

// Judged reports whether a rating stands beside an xmpDM:good that says the same, with a
// date, as we write them. Others write xmpDM:good of clips, hardly ever of pictures.
func (v Values) Judged() bool {
	return v.MetadataDate != "" && v.Rating != nil && v.Good != nil && *v.Rating != 0 && (*v.Rating > 0) == *v.Good
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
		text, _ := f.read(doc)
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
	firm             bool                   // never replaced where it is somebody else's
	form             xmp.Kind               // Seq: the only item of a list; Alt: of a language alternative; else zero
}

// read returns a property's value, if the file states one and only one.
func (f *field) read(doc *xmp.Doc) (string, bool) {
	switch doc.Kind(f.ns, f.name) {
	case xmp.Alt:
		if f.form == xmp.Alt {
			return doc.AltText(f.ns, f.name)
		}
	case xmp.Seq, xmp.Bag:
		if items := doc.Bag(f.ns, f.name); f.form == xmp.Seq && len(items) == 1 {
			return items[0], true
		}
	}
	return doc.Get(f.ns, f.name)
}

// set is the edit that states a value in place of the one that is there; "" = none.
func (f *field) set(doc *xmp.Doc, value string) *xmp.Edit {
	e := &xmp.Edit{NS: f.ns, Prefix: f.prefix, Name: f.name}
	switch kind := doc.Kind(f.ns, f.name); {
	case f.form == xmp.Seq && kind != xmp.Text && kind != xmp.URI:
		e.As, e.RemoveFromBag = xmp.Seq, doc.Bag(f.ns, f.name)
		if value != "" {
			e.AddToBag = []string{value}
		}
		return e
	case f.form == xmp.Alt:
		e.As = xmp.Alt
	}
	e.Value, e.Remove = value, value == ""
	return e
}

func fields() []field {
	text := func(a, b string) bool { return trim(a) == trim(b) }
	empty := func(s string) bool { return trim(s) == "" }
	return []field{
		{xmp.NSXMP, "xmp", "Rating", ratingText, putRating, sameRating, unrated, true, false, 0},
		{xmp.NSXMPDM, "xmpDM", "good", goodText, putGood, sameGood, empty, true, false, 0},
		{xmp.NSXMPDM, "xmpDM", "scene",
			func(v *Values) string { return v.Scene },
			func(v *Values, s string) { v.Scene = s }, text, empty, false, false, 0},
		{xmp.NSXMPDM, "xmpDM", "cameraLabel",
			func(v *Values) string { return v.CameraLabel },
			func(v *Values, s string) { v.CameraLabel = s }, text, empty, false, false, 0},
		{xmp.NSDC, "dc", "creator",
			func(v *Values) string { return v.Creator },
			func(v *Values, s string) { v.Creator = s }, text, empty, false, true, xmp.Seq},
		{xmp.NSPress, "press", "Credit",
			func(v *Values) string { return v.Credit },
			func(v *Values, s string) { v.Credit = s }, text, empty, false, true, 0},
		{xmp.NSDC, "dc", "rights",
			func(v *Values) string { return v.Rights },
			func(v *Values, s string) { v.Rights = s }, text, empty, false, true, xmp.Alt},
		{xmp.NSExif, "exif", "DateTimeOriginal",
			func(v *Values) string { return v.Original },
			func(v *Values, s string) { v.Original = s }, sameDate, empty, false, false, 0},
		{xmp.NSXMP, "xmp", "CreateDate",
			func(v *Values) string { return v.Created },
			func(v *Values, s string) { v.Created = s }, sameDate, empty, false, false, 0},
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
