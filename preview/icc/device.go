package icc

import (
	"fmt"
)

// This file chooses how a profile is used, as Little CMS does: the table of the intent
// if there is one, the perceptual table if there is another, and curves with a matrix
// where there is none (ICC.1:2022 clause 9.1 gives the tags that way, too).
// multiProcessElementsType, which a profile may have beside these, is not read.

// Intent is what a profile with tables does with colours that others do not have.
type Intent uint8

// The intents of ICC.1:2022 clause 6.2 that pictures are converted with.
const (
	Perceptual Intent = iota
	Relative          // media-relative colorimetric
)

// device is a profile by its parts.
type device struct {
	tags
	version  int // of the format
	class    string
	channels int
	lab      bool // the connection space is Lab
}

// Info is what a report says of a profile.
type Info struct {
	Description string // untrusted text of at most MaxText bytes
	Class       string // four letters by ICC.1:2022 table 18: "mntr", "prtr" and others
	Channels    int    // 1 grey, 3 RGB, 4 CMYK
	Version     int    // of the format, 2 or 4
	Tables      bool   // has tables for its colours, not a matrix alone
}

// Read returns what a profile says of itself, without reading its curves and tables.
// The error is a FormatError or an UnsupportedError.
func Read(profile []byte) (Info, error) {
	d, err := openDevice(profile)
	if err != nil {
		return Info{}, err
	}
	return Info{text(d.find("desc")), d.class, d.channels, d.version, d.find("A2B0") != nil || d.find("A2B1") != nil}, nil
}

// openDevice checks the header: what kind of a profile it is and of what.
func openDevice(b []byte) (*device, error) {
	t, err := open(b)
	if err != nil {
		return nil, err
	}
	d := &device{tags: t, version: int(b[8]), class: string(b[12:16])}
	switch d.class {
	case "scnr", "mntr", "prtr", "spac":
	default:
		return nil, UnsupportedError(fmt.Sprintf("profile class %q", d.class))
	}
	switch space := string(b[16:20]); space {
	case "GRAY":
		d.channels = 1
	case "RGB ":
		d.channels = 3
	case "CMYK":
		d.channels = 4
	default:
		return nil, UnsupportedError(fmt.Sprintf("profile for the colour space %q", space))
	}
	switch pcs := string(b[20:24]); pcs {
	case "XYZ ":
	case "Lab ":
		d.lab = true
	default:
		return nil, UnsupportedError(fmt.Sprintf("profile that connects to %q", pcs))
	}
	return d, nil
}

// toWhite is the way from the device to XYZ.
func (d *device) toWhite(intent Intent) (*lut, error) {
	for _, signature := range []string{tableOf("A2B", intent), "A2B0"} {
		if b := d.find(signature); b != nil {
			return readLUT(b, d.channels, 3, true, d.lab)
		}
	}
	switch d.channels {
	case 1:
		return d.greyCurve()
	case 3:
		return d.shaper()
	}
	return nil, FormatError("a profile without a table")
}

func tableOf(kind string, intent Intent) string { return kind + string(rune('0'+intent)) }

// greyCurve is a grey profile without tables: its curve is light or, if the profile
// connects to Lab, L*.
func (d *device) greyCurve() (*lut, error) {
	t, _, err := readTone(d.find("kTRC"))
	if err != nil {
		return nil, err
	}
	spread := &grid{in: 1, out: 3, n: [4]int{2}, values: []float32{0, 0, 0, 1, 1, 1}}
	l := &lut{steps: []step{{curves: []tone{t}}, {grid: spread}}}
	if d.lab {
		l.pcs = pcsLab
		const none = 128.0 / 255 // a* and b* of 0
		spread.values = []float32{0, none, none, 1, none, none}
	}
	return l, nil
}

// shaper is a profile of three curves and a matrix.
func (d *device) shaper() (*lut, error) {
	var curves []tone
	var m affine
	w := d50()
	for i, c := range []string{"r", "g", "b"} {
		xyz, err := number(d.find(c + "XYZ"))
		if err != nil {
			return nil, err
		}
		for r := range m {
			m[r][i] = xyz[r] / w[r]
		}
		t, _, err := readTone(d.find(c + "TRC"))
		if err != nil {
			return nil, err
		}
		curves = append(curves, t)
	}
	m.settle()
	return &lut{steps: []step{{curves: curves}, {matrix: &m}}}, nil
}

// rounding is how far the primaries' sum may be from white by their being rounded to
// four digits and no more.
const rounding = 0.0005

// settle makes white exact where it is by all but rounding, so that grey stays grey.
// Where it is not, the profile is taken at its word.
func (m *affine) settle() {
	for _, row := range m {
		if sum := row[0] + row[1] + row[2]; sum < 1-rounding || sum > 1+rounding {
			return
		}
	}
	for r, row := range m {
		for c := range 3 {
			m[r][c] = row[c] / (row[0] + row[1] + row[2])
		}
	}
}

// isShaper reports whether there are curves and a matrix, be there tables or not.
func (d *device) isShaper() bool {
	want := []string{"kTRC"}
	if d.channels == 3 {
		want = []string{"rXYZ", "gXYZ", "bXYZ", "rTRC", "gTRC", "bTRC"}
	}
	for _, s := range want {
		if d.find(s) == nil {
			return false
		}
	}
	return d.channels != 4
}

// supports reports whether the profile itself has a way for the intent.
func (d *device) supports(intent Intent) bool {
	return d.find(tableOf("A2B", intent)) != nil || d.isShaper()
}
