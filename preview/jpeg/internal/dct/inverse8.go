package dct

// The inverse transform at full size is that of Loeffler, Ligtenberg and
// Moschytz ("Practical Fast 1-D DCT Algorithms with 11 Multiplications",
// ICASSP 1989, figure 1 read backwards), twice, first down the columns. One
// dimension comes out larger by the root of 8, so that the even part needs no
// multiplication but the rotation; the two roots are the last 3 bits of the
// final shift. Constants have 13 bits after the point, and 2 more bits of a
// value than its integer part are kept between the passes.
//
// Rounding is an addition to column 0 and costs nothing in the second pass: a
// half of its last place in every sample is 16 in every row's first value.
const (
	constBits = 13
	passBits  = 2

	shift1 = constBits - passBits     // after the columns
	shift2 = constBits + passBits + 3 // after the rows
	round1 = 1 << (shift1 - 1)
	bias   = 1 << (shift2 - 1 - constBits) // the rounding of the second pass, as a value of the first column
)

// The factors of the figure times 2^13, rounded; cN = cos(N pi/16) and
// r2 = the root of 2.
const (
	rotC6    = 4433  // r2*c6
	rotC2mC6 = 6270  // r2*(c2-c6)
	rotC2pC6 = 15137 // r2*(c2+c6)

	oddC3 = 9633  // r2*c3
	oddA  = 2446  // r2*(-c1+c3+c5-c7)
	oddB  = 16819 // r2*( c1+c3-c5+c7)
	oddC  = 25172 // r2*( c1+c3+c5-c7)
	oddD  = 12299 // r2*( c1+c3-c5-c7)
	oddE  = 7373  // r2*(c3-c7)
	oddF  = 20995 // r2*(c1+c3)
	oddG  = 16069 // r2*(c3+c5)
	oddH  = 3196  // r2*(c3-c5)
)

// The same as matrices, which vector code multiplies by: sums are taken modulo
// 2^32, so that the order of additions and factoring out do not matter. evenU2
// is the factor of X2 in u, odd35 that of X5 in o3 (see butterflies).
const (
	unit   = 1 << constBits
	evenU2 = rotC6 + rotC2mC6
	evenU6 = rotC6
	evenV2 = rotC6
	evenV6 = rotC6 - rotC2pC6

	odd01 = oddC3 - oddH + oddD - oddE
	odd03 = oddC3
	odd05 = oddC3 - oddH
	odd07 = oddC3 - oddE
	odd11 = oddC3
	odd13 = oddC3 - oddG + oddC - oddF
	odd15 = oddC3 - oddF
	odd17 = oddC3 - oddG
	odd21 = oddC3 - oddH
	odd23 = oddC3 - oddF
	odd25 = oddC3 - oddH + oddB - oddF
	odd27 = oddC3
	odd31 = oddC3 - oddE
	odd33 = oddC3 - oddG
	odd35 = oddC3
	odd37 = oddC3 - oddG + oddA - oddE
)

// inverse8Go is Inverse8 in plain Go.
func inverse8Go(dst []byte, stride int, coef *Block, q *Table) {
	var mid Block
	for x := range 8 {
		x0, round := q.times(coef, x), int32(round1)
		if x == 0 {
			round += bias << shift1
		}
		if coef[x+8]|coef[x+16]|coef[x+24]|coef[x+32]|coef[x+40]|coef[x+48]|coef[x+56] == 0 {
			v := saturate16((x0<<constBits + round) >> shift1)
			for i := x; i < Size; i += 8 {
				mid[i] = v
			}
			continue
		}
		e0, e1, e2, e3, o0, o1, o2, o3 := butterflies(
			x0, q.times(coef, x+8), q.times(coef, x+16), q.times(coef, x+24),
			q.times(coef, x+32), q.times(coef, x+40), q.times(coef, x+48), q.times(coef, x+56))
		e0, e1, e2, e3 = e0+round, e1+round, e2+round, e3+round
		mid[x], mid[x+56] = saturate16((e0+o0)>>shift1), saturate16((e0-o0)>>shift1)
		mid[x+8], mid[x+48] = saturate16((e1+o1)>>shift1), saturate16((e1-o1)>>shift1)
		mid[x+16], mid[x+40] = saturate16((e2+o2)>>shift1), saturate16((e2-o2)>>shift1)
		mid[x+24], mid[x+32] = saturate16((e3+o3)>>shift1), saturate16((e3-o3)>>shift1)
	}
	for y := range 8 {
		in := (*[8]int16)(mid[8*y:])
		out := (*[8]byte)(dst[y*stride:])
		e0, e1, e2, e3, o0, o1, o2, o3 := butterflies(
			int32(in[0]), int32(in[1]), int32(in[2]), int32(in[3]),
			int32(in[4]), int32(in[5]), int32(in[6]), int32(in[7]))
		out[0], out[7] = sample((e0+o0)>>shift2), sample((e0-o0)>>shift2)
		out[1], out[6] = sample((e1+o1)>>shift2), sample((e1-o1)>>shift2)
		out[2], out[5] = sample((e2+o2)>>shift2), sample((e2-o2)>>shift2)
		out[3], out[4] = sample((e3+o3)>>shift2), sample((e3-o3)>>shift2)
	}
}

// butterflies is one dimension up to its last stage: output n is e+o of n for
// n below 4, and e-o of 7-n from there on. Values are 16 bits wide.
func butterflies(x0, x1, x2, x3, x4, x5, x6, x7 int32) (e0, e1, e2, e3, o0, o1, o2, o3 int32) {
	s, d := (x0+x4)<<constBits, (x0-x4)<<constBits
	u := x2*evenU2 + x6*evenU6
	v := x2*evenV2 + x6*evenV6
	e0, e1, e2, e3 = s+u, d+v, d-v, s-u

	a, b := x7+x3, x5+x1
	za := a*(oddC3-oddG) + b*oddC3
	zb := a*oddC3 + b*(oddC3-oddH)
	o0 = x1*(oddD-oddE) - x7*oddE + zb
	o1 = x3*(oddC-oddF) - x5*oddF + za
	o2 = x5*(oddB-oddF) - x3*oddF + zb
	o3 = x7*(oddA-oddE) - x1*oddE + za
	return
}
