package icc

import (
	"encoding/binary"
	"fmt"
)

// This file reads the header and the tag table: ICC.1:2022 clauses 7.2 and 7.3,
// and which tags a matrix profile has: 8.3.3 and 8.4.3.

// Profile says what the numbers of an RGB picture mean: how much light each code
// value stands for, and what colours the three primaries have.
type Profile struct {
	Description string // for people; untrusted text of at most MaxText bytes

	// Curves give the linear light of each of the 256 code values of red, green
	// and blue, 0 to 1.
	Curves [3][256]float64

	// Matrix takes linear red, green and blue to CIE XYZ relative to the D50
	// white of the profile connection space: the columns are the primaries.
	Matrix Matrix
}

const (
	headerLen = 128
	tagLen    = 12
	maxTags   = 200 // real profiles have about twenty
)

// tags finds the data of a tag by its signature.
type tags struct {
	b     []byte
	table []byte
}

// Parse reads a profile. It does not keep b. The error is a FormatError or an
// UnsupportedError, and then the Profile is nil.
func Parse(b []byte) (*Profile, error) {
	t, err := open(b)
	if err != nil {
		return nil, err
	}
	switch class := string(b[12:16]); class {
	case "scnr", "mntr", "spac":
	default:
		return nil, UnsupportedError(fmt.Sprintf("profile class %q", class))
	}
	if space := string(b[16:20]); space != "RGB " {
		return nil, UnsupportedError(fmt.Sprintf("colour space %q", space))
	}
	if t.find("rXYZ") == nil || string(b[20:24]) != "XYZ " {
		return nil, UnsupportedError("described by tables, not by a matrix")
	}
	p := &Profile{Description: text(t.find("desc"))}
	for i, c := range []string{"r", "g", "b"} {
		xyz, err := number(t.find(c + "XYZ"))
		if err != nil {
			return nil, err
		}
		for row := range p.Matrix {
			p.Matrix[row][i] = xyz[row]
		}
		if err := curve(&p.Curves[i], t.find(c+"TRC")); err != nil {
			return nil, err
		}
	}
	if err := p.Matrix.settle(); err != nil {
		return nil, err
	}
	return p, nil
}

// open checks the header and the tag table.
func open(b []byte) (tags, error) {
	if len(b) < headerLen+4 {
		return tags{}, FormatError("shorter than its header")
	}
	if string(b[36:40]) != "acsp" {
		return tags{}, FormatError("no profile file signature")
	}
	size := int64(binary.BigEndian.Uint32(b))
	if size < headerLen+4 || size > int64(len(b)) {
		return tags{}, FormatError(fmt.Sprintf("%d bytes by its header, %d are there", size, len(b)))
	}
	b = b[:size]
	n := binary.BigEndian.Uint32(b[headerLen:])
	if n > maxTags || headerLen+4+int64(n)*tagLen > size {
		return tags{}, FormatError(fmt.Sprintf("%d tags", n))
	}
	return tags{b, b[headerLen+4:][:n*tagLen]}, nil
}

// find returns the data of the first tag of that signature, nil if there is none
// or it reaches outside the profile. Tags may share their data.
func (t tags) find(signature string) []byte {
	for e := t.table; len(e) >= tagLen; e = e[tagLen:] {
		if string(e[:4]) != signature {
			continue
		}
		off, n := int64(binary.BigEndian.Uint32(e[4:])), int64(binary.BigEndian.Uint32(e[8:]))
		if off > int64(len(t.b)) || n > int64(len(t.b))-off {
			return nil
		}
		return t.b[off : off+n]
	}
	return nil
}

// number reads the first value of an XYZType.
func number(b []byte) ([3]float64, error) {
	if len(b) < 20 || string(b[:4]) != "XYZ " {
		return [3]float64{}, FormatError("a primary without its XYZ value")
	}
	return [3]float64{fixed(b[8:]), fixed(b[12:]), fixed(b[16:])}, nil
}

// fixed reads an s15Fixed16Number (ICC.1:2022 clause 4.6).
func fixed(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }
