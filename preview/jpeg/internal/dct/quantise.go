package dct

import "math/bits"

// Quantiser divides coefficients by quantisation steps, to the nearest whole
// number and halves away from zero, as multiplications. Of a divisor d, 8 times
// a step, and with l the number of bits of d-1, it has
//
//	m = the next whole number at or above 2^(15+l) / d,
//
// and the quotient of any t below 2^15 is t*m >> (15+l) without error: m*d
// exceeds 2^(15+l) by less than 2^l, which adds less than 1/d to the quotient
// (Granlund and Montgomery, "Division by Invariant Integers using
// Multiplication", PLDI 1994, theorem 4.2). m has 16 bits.
//
// The columns are in the order of Forward.
type Quantiser struct {
	half  [Size]uint16 // d/2
	times [Size]uint16 // m
	scale [Size]uint16 // 2^(17-l): the upper word of a product with it is >> (l-1)
	shift [Size]int16  // 1-l
}

// Set prepares z for the steps of q, from 1 to 255; larger or smaller ones are
// taken as the nearest of those.
func (z *Quantiser) Set(q *Table) {
	for i, step := range q {
		d := 8 * uint32(min(max(step, 1), 255))
		l := bits.Len32(d - 1)
		at := i%8*8 + i/8
		z.half[at] = uint16(d / 2)
		z.times[at] = uint16((1<<(15+l) + d - 1) / d)
		z.scale[at] = 1 << (17 - l)
		z.shift[at] = int16(1 - l)
	}
}

// quantise returns v divided by divisor i.
func (z *Quantiser) quantise(v int32, i int) int16 {
	t := uint32(max(v, -v)) + uint32(z.half[i])
	t = t * uint32(z.times[i]) >> 16 >> -z.shift[i]
	if v < 0 {
		return -int16(t)
	}
	return int16(t)
}
