package finished

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"io"

	"garner/preview/icc"
)

// This file reads what a PNG says of its colours, §11.3.2: the chunks cICP, iCCP,
// sRGB, gAMA and cHRM, of which the first that is there counts (§4.3).

// pngColours is what the chunks hold.
type pngColours struct {
	coded   []byte // cICP: primaries, transfer, matrix, full range
	profile []byte // iCCP as it stands
	srgb    bool
	gamma   uint32   // gAMA, in 1/100000
	chroma  []uint32 // cHRM: x and y of white, red, green, blue, in 1/100000
}

func (c *pngColours) take(name string, b []byte) {
	switch {
	case name == "cICP" && len(b) == 4:
		c.coded = b
	case name == "iCCP" && c.profile == nil:
		c.profile = b
	case name == "sRGB" && len(b) == 1:
		c.srgb = true
	case name == "gAMA" && len(b) == 4:
		c.gamma = binary.BigEndian.Uint32(b)
	case name == "cHRM" && len(b) == 32:
		c.chroma = make([]uint32, 8)
		for i := range c.chroma {
			c.chroma[i] = binary.BigEndian.Uint32(b[4*i:])
		}
	}
}

// pngSpace settles profile and colour space.
func (p *Picture) pngSpace(c *pngColours) error {
	switch name := c.codedSpace(); {
	case name != "":
		p.ColorSpace = name
	case c.profile != nil:
		p.setProfile(pngProfile(c.profile))
	case c.bright():
		return UnsupportedError("a PNG of high dynamic range, which is not read")
	case c.srgb:
		p.ColorSpace = SpaceSRGB
	default:
		if p.ColorSpace = c.space(); p.ColorSpace == "" && c.gamma > 0 {
			p.setProfile(c.makeProfile(p.Model))
		} else if c.coded != nil {
			p.remark("the colours that it was coded for (cICP) are not known")
		}
	}
	return nil
}

// bright reports the two transfers of H.273 that are no light of a print or a screen
// as it is: 16 is that of SMPTE ST 2084, 18 of ARIB STD-B67.
func (c *pngColours) bright() bool {
	return len(c.coded) == 4 && (c.coded[1] == 16 || c.coded[1] == 18)
}

// codedSpace names the two of ITU-T H.273 that photographs have: transfer 13 is
// that of sRGB, primaries 1 are those of BT.709, 12 those of Display P3.
func (c *pngColours) codedSpace() string {
	switch {
	case len(c.coded) != 4 || c.coded[1] != 13 || c.coded[2] != 0 || c.coded[3] != 1:
	case c.coded[0] == 1:
		return SpaceSRGB
	case c.coded[0] == 12:
		return SpaceDisplayP3
	}
	return ""
}

// space names what gamma and chromaticities amount to. Without chromaticities a
// gamma of 1/2.2 is how sRGB was written before it had a chunk.
func (c *pngColours) space() string {
	adobe := [8]uint32{31270, 32900, 64000, 33000, 21000, 71000, 15000, 6000}
	gamma := c.gamma >= 45000 && c.gamma <= 46000
	switch {
	case !gamma:
	case c.chroma == nil, c.near(bt709):
		return SpaceSRGB
	case c.near(adobe):
		return SpaceAdobeRGB
	}
	return ""
}

func (c *pngColours) near(want [8]uint32) bool {
	for i, v := range want {
		if d := int64(c.chroma[i]) - int64(v); d < -150 || d > 150 {
			return false
		}
	}
	return true
}

// pngProfile unpacks iCCP: a name, a zero, the method, the packed profile.
func pngProfile(b []byte) ([]byte, error) {
	_, rest, ok := bytes.Cut(b, []byte{0})
	if !ok || len(rest) < 2 || rest[0] != 0 {
		return nil, FormatError("cannot be unpacked")
	}
	out, err := inflate(rest[1:], icc.MaxProfile)
	if err != nil {
		return nil, err
	}
	return out, nil
}

// inflate unpacks at most so many bytes.
func inflate(b []byte, most int) ([]byte, error) {
	z, err := zlib.NewReader(bytes.NewReader(b))
	if err != nil {
		return nil, FormatError("cannot be unpacked")
	}
	var out bytes.Buffer
	switch n, err := io.Copy(&out, io.LimitReader(z, int64(most)+1)); {
	case err != nil:
		return nil, FormatError("cannot be unpacked")
	case n > int64(most):
		return nil, UnsupportedError("is larger than is read")
	}
	return out.Bytes(), nil
}
