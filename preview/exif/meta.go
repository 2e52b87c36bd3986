package exif

import "time"

// Meta is what a camera file says about the exposure. Every field has a zero
// value that means "the file does not say"; nothing is guessed.
type Meta struct {
	Orientation int // Exif tag 274, 1..8; 0 = not given (show as 1)

	Taken Time // DateTimeOriginal with its sub-seconds and zone

	Seconds      float64  // exposure time in seconds; 0 = unknown
	FNumber      float64  // 0 = unknown
	ISO          int      // 0 = unknown
	Bias         *float64 // exposure bias in EV; nil = unknown
	Flash        Flash
	FocalLength  float64 // millimetres; 0 = unknown
	Lens         string
	ManualWB     bool // WhiteBalance tag = 1
	ExposureMode int  // Exif 0xA402: 0 auto, 1 manual, 2 auto bracket; -1 = unknown

	Make, Model, Serial string // Serial keeps leading zeros
	Software            string

	Width, Height int // of the full picture as the sensor stores it; 0 = unknown

	Counter   int64 // shutter or file counter of the body; 0 = unknown
	Rating    int   // in-camera rating 0..5 (xmp:Rating or Exif 0x4746); 0 = none, -1 = rejected
	Protected bool  // the body's protect key, where the file carries it

	Subject    Area   // SubjectArea 0x9214, else the maker's point of focus, in stored (unrotated) full-picture pixels
	ColorSpace string // "sRGB", "Adobe RGB", "uncalibrated" or ""

	UniqueID string // ImageUniqueID 0xA420
}

// Flash says whether the flash fired (Exif 0x9209 bit 0).
type Flash uint8

// The three answers a file can give about its flash.
const (
	FlashUnknown Flash = iota
	FlashOff
	FlashFired
)

// Area is the subject area of Exif 0x9214: a point (W=H=0), a circle (W=H=the
// diameter) or a rectangle, always by its CENTRE. The zero Area is "not given".
type Area struct {
	X, Y, W, H int
	Given      bool
}

// Scaled brings an area of a picture of fromW by fromH pixels to one of toW by toH.
// Of another shape it is another picture, in which the area is not given; of a
// size that is not known the area stays as it is.
func (a Area) Scaled(fromW, fromH, toW, toH int) Area {
	if !a.Given || fromW <= 0 || fromH <= 0 || fromW == toW && fromH == toH {
		return a
	}
	w, h := int64(fromW)*int64(toH), int64(fromH)*int64(toW)
	if toW <= 0 || toH <= 0 || max(w-h, h-w)*50 > w {
		return Area{}
	}
	across := func(v int) int { return int(int64(v) * int64(toW) / int64(fromW)) }
	down := func(v int) int { return int(int64(v) * int64(toH) / int64(fromH)) }
	return Area{X: across(a.X), Y: down(a.Y), W: across(a.W), H: down(a.H), Given: true}
}

// Time is a capture time as the body's clock showed it.
type Time struct {
	Wall    time.Time // the clock's face, in time.UTC; zero = unknown
	Digits  int       // how many sub-second digits the file carried (0..9)
	Zone    int       // minutes east of Greenwich; meaningful if HasZone
	HasZone bool
}

// Known reports whether the file carried a capture time.
func (t Time) Known() bool { return !t.Wall.IsZero() }
