package build

import (
	"bytes"
	"errors"
	"fmt"
	"image/jpeg"
	"time"
)

// Rational is a fraction as Exif stores it, for example 1/250.
type Rational struct{ Num, Den int32 }

// Clock is a capture time as the body's clock showed it.
type Clock struct {
	Wall    time.Time // the clock's face, read in time.UTC; the zero time is written as unknown
	Digits  int       // how many sub-second digits are written, 0..9
	Zone    int       // minutes east of Greenwich, written only if HasZone
	HasZone bool
}

// Area is a subject area by its centre, in stored (unrotated) pixels: W and H
// zero make a point, else a rectangle (Exif tag 0x9214).
type Area struct{ X, Y, W, H int }

// Shot is what a body writes about one exposure. A zero field is left out of
// the file unless its comment says otherwise.
type Shot struct {
	Make, Model, Serial string
	Software            string
	Taken               Clock
	Orientation         int // Exif tag 274, 1..8; 0 is written as 1

	Seconds Rational // exposure time
	FNumber Rational
	ISO     int
	Bias    Rational // in EV; Den 0 = left out
	Flash   bool     // written always: fired or not
	Manual  bool     // ExposureMode manual, else auto
	Bracket bool     // ExposureMode auto bracket
	Focal   Rational // millimetres
	Lens    string

	SubjectArea *Area
	Counter     int64  // shutter or file counter, in ImageNumber (0x9211)
	Rating      int    // in-camera rating 1..5
	UniqueID    string // ImageUniqueID, 32 hexadecimal digits

	Width, Height int  // of the full picture as stored, in pixels
	AdobeRGB      bool // ColorSpace uncalibrated with InteroperabilityIndex R03
}

// Pictures are the JPEGs to embed, each a whole file from SOI to EOI. Full must
// be there; the layouts leave out what else is nil.
type Pictures struct {
	Full, Screen, Thumb []byte
	// Sensor lies where a body puts the sensor's data, for a file of honest size.
	// The TIFF-type layouts call it rows of 8-bit samples, so there it is Width
	// times Height bytes. Nil makes the few zeros of a dummy sensor; JPEG has no
	// place for it.
	Sensor []byte
}

// maxFile keeps every offset of a TIFF-type file inside 32 bits, with room for
// its directories.
const maxFile = 1<<32 - 1<<20

// check refuses what no layout here could hold, so that a builder's mistake
// does not become a strange test failure later.
func check(s Shot, p Pictures) error {
	if p.Full == nil {
		return errors.New("build: the full picture is missing")
	}
	var total int
	for _, b := range [][]byte{p.Full, p.Screen, p.Thumb} {
		if b != nil && (len(b) < 4 || b[0] != 0xFF || b[1] != 0xD8) {
			return errors.New("build: an embedded picture does not start with SOI")
		}
		total += len(b)
	}
	total += len(p.Sensor)
	if total > maxFile {
		return fmt.Errorf("build: %d bytes of pictures and sensor data do not fit a file with 32-bit offsets", total)
	}
	if s.Orientation < 0 || s.Orientation > 8 {
		return fmt.Errorf("build: orientation %d is not one of 1 to 8", s.Orientation)
	}
	if s.Taken.Digits < 0 || s.Taken.Digits > 9 {
		return fmt.Errorf("build: %d sub-second digits are not 0 to 9", s.Taken.Digits)
	}
	return nil
}

// size returns the pixel size a JPEG declares, 0x0 where there is none to read.
func size(b []byte) (w, h int) {
	c, err := jpeg.DecodeConfig(bytes.NewReader(b))
	if err != nil {
		return 0, 0
	}
	return c.Width, c.Height
}
