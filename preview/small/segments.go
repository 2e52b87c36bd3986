package small

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"

	"garner/preview/jpeg"
)

// This file takes a JPEG apart as far as its first scan and finds its end: ITU-T T.81
// Annex B.

const (
	soi   = 0xD8
	eoi   = 0xD9
	sos   = 0xDA
	dqt   = 0xDB
	dht   = 0xC4
	dri   = 0xDD
	sof0  = 0xC0
	sof2  = 0xC2
	app0  = 0xE0
	app1  = 0xE1
	app2  = 0xE2
	app14 = 0xEE // APP14, Adobe's
)

// camera is what of a camera's JPEG is kept.
type camera struct {
	segments      []byte // tables, frame header and what decides on colour, with their markers
	from, end     int    // where the scans lie, from the first one's marker to the end of image
	ended         bool   // there is an end of image
	tables        bool   // there are Huffman tables
	width, height int
	components    int
}

var (
	errNoJPEG = errors.New("it is no JPEG")
	errNoScan = errors.New("the JPEG holds no picture")
)

// tidy returns a JPEG as Wrap and decoders want it: without what lies behind its end
// of image, such as padding or further pictures; with one where the data just end;
// and with tables where it has none of its own.
func tidy(b []byte) ([]byte, error) {
	c, err := apart(b)
	if err != nil {
		return nil, err
	}
	out := append([]byte{}, b[:c.from]...)
	if !c.tables {
		out = append(out, standardTables()...)
	}
	out = append(out, b[c.from:c.end]...)
	if !c.ended {
		out = append(out, 0xFF, eoi)
	}
	return out, nil
}

// apart takes a JPEG apart.
func apart(b []byte) (c camera, err error) {
	if len(b) < 4 || b[0] != 0xFF || b[1] != soi {
		return c, errNoJPEG
	}
	var jfif, ids []byte
	for at := 2; ; {
		marker, segment, err := next(b, &at)
		if err != nil {
			return c, err
		}
		data := segment[4:]
		switch {
		case marker == sos:
			if c.width == 0 || c.height == 0 {
				return c, errNoScan
			}
			if jfif != nil && string(ids) == "RGB" { // only then it decides on colour
				c.segments = append(bytes.Clone(jfif), c.segments...)
			}
			c.from = at - len(segment)
			c.end, c.ended, err = endOf(b, c.from)
			return c, err
		case marker >= sof0 && marker <= sof2:
			if len(data) < 6 || c.width != 0 || len(data) < 6+3*int(data[5]) {
				return c, fmt.Errorf("the JPEG's frame header is damaged")
			}
			c.height, c.width = int(binary.BigEndian.Uint16(data[1:])), int(binary.BigEndian.Uint16(data[3:]))
			c.components = int(data[5])
			for i := range c.components {
				ids = append(ids, data[6+3*i])
			}
		case marker == dht:
			c.tables = true
		case marker == dqt || marker == dri:
		case marker == app2 && bytes.HasPrefix(data, []byte("ICC_PROFILE\x00")), marker == app14 && bytes.HasPrefix(data, []byte("Adobe")):
		case marker == app0 && jfif == nil && bytes.HasPrefix(data, []byte("JFIF\x00")):
			jfif = segment
			continue
		case marker > sof2 && marker <= 0xCF, marker == 0xDE: // lossless, arithmetic or hierarchical
			return c, fmt.Errorf("the JPEG is of a kind that few programs show (marker %#x)", marker)
		default:
			continue
		}
		c.segments = append(c.segments, segment...)
	}
}

// next returns the segment at at, with its marker and length, and moves behind it.
func next(b []byte, at *int) (marker byte, segment []byte, err error) {
	for *at+4 <= len(b) && b[*at] == 0xFF && b[*at+1] == 0xFF { // B.1.1.2: fill bytes
		*at++
	}
	if *at+4 > len(b) || b[*at] != 0xFF || b[*at+1] < sof0 || b[*at+1] >= 0xD0 && b[*at+1] <= eoi {
		return 0, nil, errNoScan
	}
	end := *at + 2 + int(binary.BigEndian.Uint16(b[*at+2:]))
	if end < *at+4 || end > len(b) {
		return 0, nil, fmt.Errorf("the JPEG ends inside its headers")
	}
	segment = b[*at:end:end]
	*at = end
	return segment[1], segment, nil
}

// endOf returns where the scans end that begin with the marker at at: behind the end
// of image, or with the data where there is none.
func endOf(b []byte, at int) (end int, ended bool, err error) {
	for {
		if _, _, err := next(b, &at); err != nil {
			return 0, false, err
		}
		for more := true; more; { // coded data, up to a marker that is neither a stuffed byte nor a restart
			i := bytes.IndexByte(b[at:], 0xFF)
			if i < 0 || at+i+1 >= len(b) {
				return len(b), false, nil
			}
			at += i
			switch m := b[at+1]; {
			case m == eoi:
				return at + 2, true, nil
			case m == 0xFF:
				at++
			case m == 0 || m >= 0xD0 && m <= 0xD7:
				at += 2
			default:
				more = false
			}
		}
	}
}

// standardTables are the Huffman tables of T.81 Annex K.3, which pictures without
// tables of their own are coded with: those that our encoder writes.
func standardTables() (tables []byte) {
	grey := make([]byte, 64)
	b, err := jpeg.AppendEncode(nil, &jpeg.Image{Width: 8, Height: 8, Y: grey, Cb: grey, Cr: grey, YStride: 8, CStride: 8, SubX: 1, SubY: 1, Rows: 8}, 90)
	for at := 2; err == nil; {
		marker, segment, nerr := next(b, &at)
		if err = nerr; err != nil || marker == sos {
			break
		}
		if marker == dht {
			tables = append(tables, segment...)
		}
	}
	return tables
}
