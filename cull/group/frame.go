package group

import (
	"time"

	"garner/cull"
)

// Frame is what grouping needs to know of a frame. Zero values mean unknown.
type Frame struct {
	ID      cull.ID
	Name    string
	Body    string     // key of the body; frames of an unknown body ("") are never grouped
	Time    cull.Stamp // corrected
	Counter int64      // shutter or file counter

	Fingerprint    uint64 // 64 bits, compared by how many differ
	HasFingerprint bool

	Look *cull.Look // nil = not measured

	Flash    *bool
	Focal    float64 // mm
	Lens     string
	ManualWB bool
	Luma     float64 // mean luma 0..1; meaningful if HasFingerprint
	Upright  bool    // taller than wide, as seen
	Sensor   int     // width in pixels; frames of one body in another mode differ

	Seconds     float64  // exposure time
	EV100       float64  // exposure at ISO 100; meaningful if HasEV
	HasEV       bool     // aperture, time and ISO are known
	Bias        *float64 // EV
	AutoBracket bool
}

// Of takes from a frame what grouping needs; body corrects its clock, look may be
// nil.
func Of(f cull.Frame, body cull.Body, look *cull.Look) Frame {
	ev, ok := EV100(f.Shot.FNumber, f.Shot.Seconds, f.Shot.ISO)
	return Frame{
		ID: f.ID, Name: f.Name, Body: f.Body,
		Time: body.Correct(f.Taken), Counter: f.Shot.Counter,
		Fingerprint: f.Fingerprint, HasFingerprint: f.HasFingerprint,
		Look: look, Flash: f.Shot.Flash, Focal: f.Shot.FocalLength, Lens: f.Shot.Lens, ManualWB: f.Shot.ManualWB,
		Luma: f.Luma, Upright: upright(f.Shot), Sensor: f.Shot.Width,
		Seconds: f.Shot.Seconds, EV100: ev, HasEV: ok,
		Bias: f.Shot.Bias, AutoBracket: f.Shot.AutoBracket,
	}
}

// upright reports whether a picture is seen taller than wide.
func upright(s cull.Shot) bool {
	turned := s.Orientation >= 5 && s.Orientation <= 8 // Exif: a quarter turn to one side or the other
	return s.Width > 0 && turned == (s.Width > s.Height)
}

// Options are the limits of grouping. Zero fields take the defaults.
type Options struct {
	Gap     time.Duration // longest pause within a burst, start to start; its own pace may end it sooner
	Longest time.Duration // a burst ends after this, however alike its frames are
	Near    int           // how unlike (see Unlike) neighbours may be after the pause Gap
	Quick   int           // the same after the shortest pause at which that counts; in between it falls with the pause
	Far     int           // how unlike the first of its burst a frame may be
	Jump    int           // how unlike the frame before makes one another subject, where the others are alike

	Alike       int           // how unlike the first of their set look-alikes may be
	AlikeWithin time.Duration // longest time from the first moment of a set of look-alikes to the last
}

// The likeness limits come from framing photographs anew (see the weights of a
// view): what a hand moves by a tenth of the frame stays below 12 in nine of ten
// cases, what moved by three tenths is at 25 in the middle, and no two different
// photographs were below 18.
func (o Options) withDefaults() Options {
	if o.Gap == 0 {
		o.Gap = 1500 * time.Millisecond
	}
	if o.Longest == 0 {
		o.Longest = 30 * time.Second
	}
	if o.Near == 0 {
		o.Near = 12
	}
	if o.Quick == 0 {
		o.Quick = 22
	}
	if o.Far == 0 {
		o.Far = 26
	}
	if o.Jump == 0 {
		o.Jump = 17
	}
	if o.Alike == 0 {
		o.Alike = 10
	}
	if o.AlikeWithin == 0 {
		o.AlikeWithin = 15 * time.Minute
	}
	return o
}
