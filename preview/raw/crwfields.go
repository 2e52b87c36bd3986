package raw

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"garner/preview/exif"
)

// This file takes metadata out of the records of a CRW file. Their numbers and
// forms are those of the reference reader exiftool's tables.

// Records of the heap.
const (
	crwMakeModel = 0x080A
	crwFirmware  = 0x080B
	crwFocal     = 0x1029
	crwShotInfo  = 0x102A
	crwSettings  = 0x102D
	crwColor     = 0x10B4
	crwTime      = 0x180E
	crwSerial    = 0x180B
	crwImageInfo = 0x1810
	crwFile      = 0x1817
	crwExposure  = 0x1818
)

func wanted(typ uint16) bool {
	switch typ {
	case crwMakeModel, crwFirmware, crwFocal, crwShotInfo, crwSettings, crwColor,
		crwTime, crwSerial, crwImageInfo, crwFile, crwExposure:
		return true
	}
	return false
}

// canonRecords is what needs more than one record.
type canonRecords struct {
	serial           uint32
	focal            float64 // in units of the lens
	units            float64 // units per millimetre
	longest, closest float64 // the lens's focal lengths in units
}

// take reads one record.
func (c *canonRecords) take(m *exif.Meta, typ uint16, b []byte, order binary.ByteOrder) {
	u32 := func(i int) uint32 {
		if i+4 > len(b) {
			return 0
		}
		return order.Uint32(b[i:])
	}
	s16 := func(i int) int16 { // number i of a list
		if 2*i+2 > len(b) {
			return 0
		}
		return int16(order.Uint16(b[2*i:]))
	}
	switch typ {
	case crwMakeModel: // two strings, one behind the other
		maker, model, _ := bytes.Cut(b, []byte{0})
		m.Make, m.Model = plainText(maker), plainText(model)
	case crwFirmware:
		m.Software = plainText(b)
	case crwSerial:
		c.serial = u32(0)
	case crwFile:
		m.Counter = int64(u32(0))
	case crwImageInfo:
		if w, h := u32(0), u32(4); w > 0 && h > 0 && w <= maxSide && h <= maxSide {
			m.Width, m.Height = int(w), int(h)
		}
		m.Orientation = turned(int64(int32(u32(12))))
	case crwTime:
		m.Taken = crwClock(u32(0), int32(u32(4)), u32(8))
	case crwExposure:
		if bias := float64(math.Float32frombits(u32(0))); math.Abs(bias) <= 20 { // false for NaN too
			m.Bias = &bias
		}
	case crwColor:
		if v := s16(0); v == 1 || v == 2 {
			m.ColorSpace = [...]string{1: "sRGB", 2: "Adobe RGB"}[v]
		}
	case crwFocal:
		c.focal = float64(uint16(s16(1)))
	case crwSettings:
		c.longest, c.closest, c.units = float64(uint16(s16(23))), float64(uint16(s16(24))), float64(s16(25))
	case crwShotInfo:
		shotInfo(m, s16)
	}
}

// shotInfo takes the exposure from Canon's list of shot values.
func shotInfo(m *exif.Meta, s16 func(int) int16) {
	// The speed is the base speed times the share of automatic gain, both in 1/32
	// steps of a doubling; the base counts from 100/32.
	if auto, base := float64(s16(1)), float64(s16(2)); base > 0 && base < 1024 && math.Abs(auto) < 1024 {
		m.ISO = int(math.Round(100 * math.Exp2(auto/32) * math.Exp2(base/32) / 32))
	}
	if m.Bias == nil {
		bias := canonEV(s16(6))
		if math.Abs(bias) <= 20 {
			m.Bias = &bias
		}
	}
	if av := canonEV(s16(21)); av > 0 && av < 20 {
		m.FNumber = math.Exp2(av / 2)
	}
	if tv := canonEV(s16(22)); tv != 0 && math.Abs(tv) < 30 {
		m.Seconds = math.Exp2(-tv)
	}
}

// canonEV is Canon's exposure value: 1/32 EV each, but 12 and 20 in the low five
// bits stand for a third and two thirds.
func canonEV(v int16) float64 {
	n, sign := float64(v), 1.0
	if n < 0 {
		n, sign = -n, -1
	}
	low := math.Mod(n, 32)
	whole := n - low
	switch low {
	case 12:
		low = 32.0 / 3
	case 20:
		low = 64.0 / 3
	}
	return sign * (whole + low) / 32
}

// crwClock is the time stamp: the body's own seconds from 1970, and if the highest
// bit of info is set how many seconds its zone is east of Greenwich.
func crwClock(stamp uint32, zone int32, info uint32) exif.Time {
	var t exif.Time
	if stamp == 0 || stamp == math.MaxUint32 {
		return t
	}
	t.Wall = time.Unix(int64(stamp), 0).UTC()
	const hour = 3600
	if info>>31 != 0 && zone >= -12*hour && zone <= 14*hour {
		t.Zone, t.HasZone = int(zone)/60, true
	}
	return t
}

// settle works out serial number, focal length and lens.
func (c *canonRecords) settle(m *exif.Meta) {
	switch {
	case c.serial == 0 || !strings.Contains(m.Model, "EOS"):
		// On the compacts the record holds something else.
	case strings.HasSuffix(m.Model, "EOS D30"):
		m.Serial = fmt.Sprintf("%04x%05d", c.serial>>16, c.serial&0xFFFF)
	default:
		m.Serial = fmt.Sprintf("%010d", c.serial)
	}
	units := c.units
	if units <= 0 {
		units = 1
	}
	m.FocalLength = c.focal / units
	if c.closest > 0 && c.longest >= c.closest {
		m.Lens = number(c.closest / units)
		if c.longest > c.closest {
			m.Lens += "-" + number(c.longest/units)
		}
		m.Lens += "mm"
	}
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
