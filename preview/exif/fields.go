package exif

import (
	"math"
	"strconv"
	"strings"

	"garner/preview/tiff"
)

// This file takes the fields of Exif (CIPA DC-008 §4.6) and of TIFF/EP, which
// keeps the same ones in IFD0.

// mainFields takes what IFD0 says.
func (w *walker) mainFields(d *tiff.IFD) {
	m := w.m
	if o, ok := d.Find(0x0112).Int(); ok && m.Orientation == 0 && o >= 1 && o <= 8 {
		m.Orientation = int(o)
	}
	setText(&m.Make, d.Find(0x010F))
	setText(&m.Model, d.Find(0x0110))
	setText(&m.Software, d.Find(0x0131))
	if n, ok := d.Find(0x4746).Int(); ok && m.Rating == 0 && n >= 0 && n <= 5 {
		m.Rating = int(n)
	}
}

// exifFields takes what the Exif IFD says.
func (w *walker) exifFields(d *tiff.IFD) {
	m := w.m
	w.times(d)
	w.exposure(d)
	w.iso(d)
	if v, ok := d.Find(0x9209).Int(); ok && m.Flash == FlashUnknown {
		m.Flash = FlashOff
		if v&1 != 0 {
			m.Flash = FlashFired
		}
	}
	if v, ok := positive(d.Find(0x920A)); ok && m.FocalLength == 0 {
		m.FocalLength = v
	}
	if v, ok := d.Find(0xA403).Int(); ok && v == 1 {
		m.ManualWB = true
	}
	if v, ok := d.Find(0xA402).Int(); ok && m.ExposureMode == -1 && v >= 0 && v <= 2 {
		m.ExposureMode = int(v)
	}
	setSerial(&m.Serial, d.Find(0xA431))
	setText(&m.UniqueID, d.Find(0xA420))
	setLensName(&m.Lens, d.Find(0xA434))
	setLens(&m.Lens, d.Find(0xA432))
	if v, ok := d.Find(0x9211).Int(); ok && m.Counter == 0 && v > 0 { // TIFF/EP ImageNumber
		m.Counter = v
	}
	x, _ := d.Find(0xA002).Int()
	y, _ := d.Find(0xA003).Int()
	if m.Width == 0 && x > 0 && y > 0 && x <= maxSide && y <= maxSide {
		m.Width, m.Height = int(x), int(y)
	}
	if e := d.Find(0x9214); e != nil && !m.Subject.Given && e.Count <= 4 {
		m.Subject = subject(e.Ints(4))
	}
	if v, ok := d.Find(0xA001).Int(); ok && m.ColorSpace == "" {
		m.ColorSpace = colorSpace(v)
	}
}

// colorSpace names a value of tag 0xA001. 2 is not in the standard, but bodies
// write it.
func colorSpace(v int64) string {
	switch v {
	case 1:
		return "sRGB"
	case 2:
		return "Adobe RGB"
	case 0xFFFF:
		return "uncalibrated"
	}
	return ""
}

// subject reads SubjectArea: two values are a point, three a circle by centre and
// diameter, four a rectangle by centre, width and height.
func subject(v []int64) Area {
	a := Area{Given: true}
	switch len(v) {
	case 2:
		a.X, a.Y = int(v[0]), int(v[1])
	case 3:
		a.X, a.Y, a.W, a.H = int(v[0]), int(v[1]), int(v[2]), int(v[2])
	case 4:
		a.X, a.Y, a.W, a.H = int(v[0]), int(v[1]), int(v[2]), int(v[3])
	default:
		return Area{}
	}
	if a.X < 0 || a.Y < 0 || a.W < 0 || a.H < 0 || a == (Area{Given: true}) {
		return Area{}
	}
	return a
}

// exposure takes time, aperture and bias. Where the plain number is missing the
// APEX value stands in (Exif Annex C: Tv = -log2 t, Av = 2 log2 N).
func (w *walker) exposure(d *tiff.IFD) {
	m := w.m
	if m.Seconds == 0 {
		if v, ok := positive(d.Find(0x829A)); ok {
			m.Seconds = v
		} else if tv, ok := d.Find(0x9201).Float(0); ok && math.Abs(tv) < 30 {
			m.Seconds = math.Exp2(-tv)
		}
	}
	if m.FNumber == 0 {
		if v, ok := positive(d.Find(0x829D)); ok {
			m.FNumber = v
		} else if av, ok := positive(d.Find(0x9202)); ok && av < 20 {
			m.FNumber = math.Exp2(av / 2)
		}
	}
	// No body offers 20 EV; a larger number is an "unknown" of the writer's own.
	if v, ok := d.Find(0x9204).Float(0); ok && m.Bias == nil && math.Abs(v) <= 20 {
		m.Bias = &v
	}
}

// positive reads a number that means something only above zero. All ones over
// something is Exif's "infinite" and the usual "unknown".
func positive(e *tiff.Entry) (float64, bool) {
	v, ok := e.Float(0)
	return v, ok && v > 0 && v < math.MaxUint32
}

// iso takes the speed. Tag 0x8827 has 16 bits: 65535 means "see the 32-bit ones"
// (Exif 2.3 §4.6.5): recommended exposure index, standard output sensitivity,
// ISO speed.
func (w *walker) iso(d *tiff.IFD) {
	for _, tag := range []uint16{0x8827, 0x8832, 0x8831, 0x8833} {
		if w.m.ISO != 0 {
			return
		}
		v, ok := d.Find(tag).Int()
		if ok && v > 0 && v <= math.MaxInt32 && (tag != 0x8827 || v < math.MaxUint16) {
			w.m.ISO = int(v)
		}
	}
}

func setText(to *string, e *tiff.Entry) {
	if *to == "" && e != nil {
		*to = e.Text()
	}
}

// setSerial leaves out what bodies without a number write: zeros.
func setSerial(to *string, e *tiff.Entry) {
	if s := e.Text(); *to == "" && strings.Trim(s, "0") != "" {
		*to = s
	}
}

// setLensName leaves out the dashes that stand for a lens without electronics.
func setLensName(to *string, e *tiff.Entry) {
	if s := e.Text(); *to == "" && strings.Trim(s, "- ") != "" {
		*to = s
	}
}

// setLens writes a lens from its four numbers: shortest and longest focal length,
// f-numbers at both (Exif 0xA432 LensSpecification, and Nikon's 0x0084).
func setLens(to *string, e *tiff.Entry) {
	if *to != "" || e == nil || e.Count != 4 {
		return
	}
	var v [4]string
	for i := range v {
		f, ok := e.Float(i)
		if ok && f > 0 && f < 10000 {
			v[i] = strconv.FormatFloat(math.Round(f*10)/10, 'f', -1, 64)
		}
	}
	if v[0] == "" {
		return
	}
	s := v[0]
	if v[1] != "" && v[1] != v[0] {
		s += "-" + v[1]
	}
	s += "mm"
	if v[2] != "" {
		s += " f/" + v[2]
		if v[3] != "" && v[3] != v[2] {
			s += "-" + v[3]
		}
	}
	*to = s
}
