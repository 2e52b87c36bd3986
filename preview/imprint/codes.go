package imprint

import (
	"math"
	"sync"

	"garner/preview/icc"
)

// table finds the nearest 8-bit code of linear light. Its cells follow the
// bits of a float32: 128 to each doubling, from 2^-20 up. Steps of 8-bit codes
// are nowhere closer than 0.86 % of the light, so that a cell holds one of them at
// most: it knows the code of its lower end, and from says from which light on the
// next one is nearer. The result is the rounded curve itself.
type table struct {
	guess [octaves << cellBits]byte
	from  [257]uint32 // bits of the least light of each code; above the last there is none
}

const (
	octaves    = 20
	cellBits   = 7
	cellShift  = 23 - cellBits
	firstCell  = (127 - octaves) << cellBits
	leastLight = 1.0 / (1 << octaves) // below the first step of any of the curves
)

// tables are made when they are first wanted. Display P3 has the curve of sRGB.
var tables = [...]func() *table{
	icc.SpaceSRGB:      sync.OnceValue(func() *table { return newTable(icc.SpaceSRGB) }),
	icc.SpaceDisplayP3: sync.OnceValue(func() *table { return newTable(icc.SpaceDisplayP3) }),
	icc.SpaceAdobeRGB:  sync.OnceValue(func() *table { return newTable(icc.SpaceAdobeRGB) }),
}

func tableOf(s icc.Space) *table { return tables[s]() }

func known(s icc.Space) bool { return int(s) < len(tables) }

func newTable(s icc.Space) *table {
	t := &table{}
	for c := 1; c < 256; c++ {
		exact := s.Light((float64(c) - 0.5) / 255)
		v := float32(exact)
		if float64(v) < exact { // the least float32 that is not below it
			v = math.Nextafter32(v, 2)
		}
		t.from[c] = math.Float32bits(v)
	}
	t.from[256] = math.MaxInt32
	c := 0
	for i := range t.guess {
		for t.from[c+1] <= uint32(i+firstCell)<<cellShift {
			c++
		}
		t.guess[i] = byte(c)
	}
	return t
}

// code returns the 8-bit code of v; NaN is black.
func (t *table) code(v float32) byte {
	if !(v > leastLight) {
		return 0
	}
	if v >= 1 {
		return 255
	}
	bits := math.Float32bits(v)
	c := t.guess[bits>>cellShift-firstCell]
	return c + byte((t.from[int(c)+1]-1-bits)>>31) // one more from there on
}
