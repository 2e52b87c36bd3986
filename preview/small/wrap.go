package small

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// Wrap makes the small picture of an original from a JPEG that its camera put into
// it. From the first scan on its data are kept byte for byte.
func Wrap(src []byte, o Original) ([]byte, error) {
	src, err := tidy(src)
	if err != nil {
		return nil, err
	}
	c, err := apart(src)
	if err != nil {
		return nil, err
	}
	return c.wrapped(src, src, o)
}

// wrapped puts the segments of an original before the parts of a tidy JPEG. The
// colours are those of the camera's.
func (c *camera) wrapped(b, cameras []byte, o Original) ([]byte, error) {
	if !o.sound() {
		return nil, fmt.Errorf("%q cannot be told of in a small picture: its frame, path, kind, size or sums are not known or not sound", o.Path)
	}
	rest := append(c.segments, b[c.from:c.end]...)
	p := packet{Original: o, rest: int64(len(rest)), restSum: sha256.Sum256(rest)}
	about, err := p.bytes()
	if err != nil {
		return nil, err
	}
	if _, ok := parsePacket(about); !ok {
		return nil, fmt.Errorf("what is known of %q could not be read back", o.Path)
	}
	out := []byte{0xFF, soi}
	out = segment(out, app1, exifID, exifBytes(&o, c, cameras))
	out = segment(out, app1, xmpID, about)
	return append(out, rest...), nil
}

func segment(dst []byte, marker byte, id string, data []byte) []byte {
	dst = binary.BigEndian.AppendUint16(append(dst, 0xFF, marker), uint16(2+len(id)+len(data)))
	return append(append(dst, id...), data...)
}

// shrunkQuality is that of a picture that is made smaller, on the scale of the IJG.
const shrunkQuality = 85

// Shrink is Wrap of a picture brought down to longEdge pixels, for where room is
// dear. One that is not larger is kept as the camera made it.
func Shrink(src []byte, longEdge int, o Original) ([]byte, error) {
	src, err := tidy(src)
	if err != nil {
		return nil, err
	}
	c, err := apart(src)
	if err != nil {
		return nil, err
	}
	if longEdge <= 0 || max(c.width, c.height) <= longEdge {
		return c.wrapped(src, src, o)
	}
	scale := 8
	for scale > 1 && max(c.width, c.height)/scale < longEdge {
		scale /= 2
	}
	m, err := jpeg.Decode(src, jpeg.Options{Scale: scale})
	if err != nil {
		return nil, err
	}
	if m.Truncated {
		return nil, ErrBroken
	}
	made, err := jpeg.AppendEncode(nil, pix.Fit(m, longEdge), shrunkQuality)
	if err != nil {
		return nil, err
	}
	small, err := apart(made)
	if err != nil {
		return nil, err
	}
	if c.components != 4 { // a profile of four inks says nothing of three colours
		small.segments = append(profile(c.segments), small.segments...)
	}
	o.LongEdge = longEdge
	return small.wrapped(made, src, o)
}

// profile are the segments of a colour profile among those of a camera.
func profile(segments []byte) (out []byte) {
	for at := 0; at < len(segments); {
		marker, s, err := next(segments, &at)
		if err != nil {
			break
		}
		if marker == app2 {
			out = append(out, s...)
		}
	}
	return out
}
