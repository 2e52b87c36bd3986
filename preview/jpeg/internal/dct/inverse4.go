package dct

// The mean of two adjacent outputs of an 8-point inverse transform is a
// 4-point inverse transform of fewer inputs. In one dimension, but for the
// weight of X0,
//
//	x(n) = sum over k of X(k) cos((2n+1)k pi/16)
//
// and since cos(a-b)+cos(a+b) = 2 cos a cos b, with a = (4m+2)k pi/16 and
// b = k pi/16,
//
//	(x(2m)+x(2m+1))/2 = sum over k of X(k) cos(k pi/16) cos((2m+1)k pi/8).
//
// The last factor vanishes for k = 4, and has the same size and another sign
// for 8-k. With cos((8-k)pi/16) = sin(k pi/16) that is the 4-point transform of
//
//	Y(0) = X(0),  Y(k) = cos(k pi/16) X(k) - sin(k pi/16) X(8-k)  for k = 1, 2, 3.
//
// As at full size it comes out larger by the root of 8: X0 counts once, the
// others times r2, the root of 2, where r2 cos(2 pi/8) = 1. The factors of both
// steps are multiplied into one.
//
// Constants have 14 bits after the point, one more than at full size.
const (
	half2  = 15137 // cos(2 pi/16)                    of X2 in Y2
	half6  = 6270  // sin(2 pi/16)                    of X6
	half1p = 20995 // r2 cos(pi/8) cos(pi/16)         of X1 in the outer outputs
	half7p = 4176  // r2 cos(pi/8) sin(pi/16)         of X7
	half3p = 7373  // r2 cos(3 pi/8) cos(3 pi/16)     of X3
	half5p = 4926  // r2 cos(3 pi/8) sin(3 pi/16)     of X5
	half1q = 8697  // r2 cos(3 pi/8) cos(pi/16)       of X1 in the inner outputs
	half7q = 1730  // r2 cos(3 pi/8) sin(pi/16)       of X7
	half3q = 17799 // r2 cos(pi/8) cos(3 pi/16)       of X3
	half5q = 11893 // r2 cos(pi/8) sin(3 pi/16)       of X5

	halfBits   = constBits + 1
	halfShift1 = halfBits - passBits
	halfShift2 = halfBits + passBits + 3
	halfRound1 = 1 << (halfShift1 - 1)
)

// inverse4Go is Inverse4 in plain Go.
func inverse4Go(dst []byte, stride int, coef *Block, q *Table) {
	var mid [32]int16
	for x := range 8 {
		if x == 4 { // X4 drops out of the rows
			continue
		}
		round := int32(halfRound1)
		if x == 0 {
			round += bias << halfShift1
		}
		s, d, outer, inner := halves(
			q.times(coef, x), q.times(coef, x+8), q.times(coef, x+16), q.times(coef, x+24),
			q.times(coef, x+40), q.times(coef, x+48), q.times(coef, x+56))
		s, d = s+round, d+round
		mid[x], mid[x+24] = saturate16((s+outer)>>halfShift1), saturate16((s-outer)>>halfShift1)
		mid[x+8], mid[x+16] = saturate16((d+inner)>>halfShift1), saturate16((d-inner)>>halfShift1)
	}
	for y := range 4 {
		in := (*[8]int16)(mid[8*y:])
		out := (*[4]byte)(dst[y*stride:])
		s, d, outer, inner := halves(
			int32(in[0]), int32(in[1]), int32(in[2]), int32(in[3]), int32(in[5]), int32(in[6]), int32(in[7]))
		out[0], out[3] = sample((s+outer)>>halfShift2), sample((s-outer)>>halfShift2)
		out[1], out[2] = sample((d+inner)>>halfShift2), sample((d-inner)>>halfShift2)
	}
}

// halves is one dimension up to its last stage: outputs 0 and 3 are s+outer
// and s-outer, outputs 1 and 2 are d+inner and d-inner.
func halves(x0, x1, x2, x3, x5, x6, x7 int32) (s, d, outer, inner int32) {
	y2 := x2*half2 - x6*half6
	s, d = x0<<halfBits+y2, x0<<halfBits-y2
	outer = (x1*half1p - x7*half7p) + (x3*half3p - x5*half5p)
	inner = (x1*half1q - x7*half7q) - (x3*half3q - x5*half5q)
	return
}
