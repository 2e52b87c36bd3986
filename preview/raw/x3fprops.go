package raw

import (
	"encoding/binary"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"

	"garner/preview/exif"
	"garner/preview/internal/bin"
)

// This file reads the properties of an X3F file: pairs of names and values, as
// UTF-16 text.

// maxProperties bounds the text of a PROP section, in bytes.
const maxProperties = 8 << 10

// x3fProperties reads a PROP section: its header has the number of pairs, the
// coding (0 = UTF-16) and the length of all text; then come pairs of offsets into
// the text, counted in characters.
func (s *scan) x3fProperties(sec section) {
	const headLen = 24
	if sec.length < headLen {
		return
	}
	b, err := s.src.UpTo(sec.off, int(min(sec.length, maxProperties)))
	if err != nil {
		s.fault(err, "section of properties")
		return
	}
	c := bin.NewCursor(b, binary.LittleEndian)
	magic := string(c.Bytes(4))
	c.Skip(4)
	n, coding := int64(c.U32()), c.U32()
	c.Skip(8)
	if c.Err() != nil || magic != "SECp" || coding != 0 || n > int64(c.Left()/8) {
		return
	}
	pairs := bin.NewCursor(c.Bytes(int(n)*8), binary.LittleEndian)
	text := b[c.Pos():]
	props := make(map[string]string, n)
	for range n {
		name, value := wideText(text, pairs.U32()), wideText(text, pairs.U32())
		props[name] = value
	}
	takeProperties(&s.out.Meta, props)
}

// wideText is the UTF-16 string that begins with character i, up to its NUL.
func wideText(b []byte, i uint32) string {
	const maxChars = 64
	var u []uint16
	for k := int64(i) * 2; k+2 <= int64(len(b)) && len(u) < maxChars; k += 2 {
		v := binary.LittleEndian.Uint16(b[k:])
		if v == 0 {
			break
		}
		u = append(u, v)
	}
	return strings.TrimSpace(string(utf16.Decode(u)))
}

// takeProperties fills what Exif left open. Numbers are decimal text; TIME counts
// the body's own seconds from 1970.
func takeProperties(m *exif.Meta, p map[string]string) {
	text := func(to *string, name string) {
		if *to == "" {
			*to = p[name]
		}
	}
	number := func(name string) float64 {
		v, err := strconv.ParseFloat(p[name], 64)
		if err != nil || math.IsNaN(v) || v < 0 || v > math.MaxInt32 {
			return 0
		}
		return v
	}
	text(&m.Make, "CAMMANUF")
	text(&m.Model, "CAMMODEL")
	text(&m.Serial, "CAMSERIAL")
	text(&m.Software, "FIRMVERS")
	if m.Seconds == 0 {
		m.Seconds = number("SHUTTER")
	}
	if m.FNumber == 0 {
		m.FNumber = number("APERTURE")
	}
	if m.FocalLength == 0 {
		m.FocalLength = number("FLENGTH")
	}
	if m.ISO == 0 {
		m.ISO = int(number("ISO"))
	}
	if v, err := strconv.ParseFloat(p["EXPCOMP"], 64); err == nil && m.Bias == nil && math.Abs(v) <= 20 {
		m.Bias = &v
	}
	if v := number("TIME"); v > 0 && !m.Taken.Known() {
		m.Taken.Wall = time.Unix(int64(v), 0).UTC()
	}
}
