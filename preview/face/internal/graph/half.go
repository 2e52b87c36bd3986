package graph

import (
	"encoding/binary"
	"math"
)

// half makes a float32 of an IEEE 754 binary16.
func half(h uint16) float32 {
	sign := uint32(h&0x8000) << 16
	exp, frac := uint32(h>>10)&0x1F, uint32(h)&0x3FF
	switch exp {
	case 0: // zero, or a number of fewer digits: frac * 2^-24
		return math.Float32frombits(math.Float32bits(float32(frac)*0x1p-24) | sign)
	case 0x1F:
		return math.Float32frombits(sign | 0x7F800000 | frac<<13)
	}
	return math.Float32frombits(sign | (exp+127-15)<<23 | frac<<13)
}

// floats returns the values of a constant.
func (t *tensor) floats() []float32 {
	list := make([]float32, t.values())
	for i := range list {
		if t.kind == float16s {
			list[i] = half(binary.LittleEndian.Uint16(t.data[2*i:]))
		} else {
			list[i] = math.Float32frombits(binary.LittleEndian.Uint32(t.data[4*i:]))
		}
	}
	return list
}
