package dct

import (
	"encoding/binary"
	"testing"
)

// FuzzEqualBits holds every path to the bits of plain Go on any coefficients
// and steps.
func FuzzEqualBits(f *testing.F) {
	f.Add([]byte{}, uint8(1))
	f.Add([]byte{1, 0, 255, 127, 0, 128}, uint8(3))
	f.Add(make([]byte, 600), uint8(2))
	f.Fuzz(func(t *testing.T, src []byte, n uint8) {
		next := func() uint16 {
			var w [2]byte
			src = src[copy(w[:], src):]
			return binary.LittleEndian.Uint16(w[:])
		}
		coef := make([]Block, 1+n%4)
		var q Table
		for i := range q {
			q[i] = next() ^ 1
		}
		for k := range coef {
			for i := range coef[k] {
				coef[k][i] = int16(next())
			}
		}
		for _, tr := range transforms {
			tr.check(t, coef, &q, int(n/4))
		}
	})
}
