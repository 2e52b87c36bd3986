package dct

// The mean of four adjacent outputs is once more the mean of two, of the
// 4-point transform of inverse4.go: a 2-point transform of Y0 and
//
//	Z1 = cos(pi/8) Y1 - sin(pi/8) Y3,
//
// whose outputs are Y0+Z1 and Y0-Z1, since r2 cos(pi/4) = 1. Y2 drops out, and
// with it X2 and X6. Constants have 15 bits after the point.
const (
	quarter1 = 29692 // cos(pi/8) cos(pi/16)     of X1
	quarter7 = 5906  // cos(pi/8) sin(pi/16)     of X7
	quarter3 = 10426 // sin(pi/8) cos(3 pi/16)   of X3
	quarter5 = 6967  // sin(pi/8) sin(3 pi/16)   of X5

	quarterBits   = constBits + 2
	quarterShift1 = quarterBits - passBits
	quarterShift2 = quarterBits + passBits + 3
	quarterRound1 = 1 << (quarterShift1 - 1)
)

// inverse2Go is Inverse2 in plain Go.
func inverse2Go(dst []byte, stride int, coef *Block, q *Table) {
	var top, low [8]int32
	for _, x := range [...]int{0, 1, 3, 5, 7} {
		y0 := q.times(coef, x)<<quarterBits + quarterRound1
		if x == 0 {
			y0 += bias << quarterShift1
		}
		z1 := quarterZ(q.times(coef, x+8), q.times(coef, x+24), q.times(coef, x+40), q.times(coef, x+56))
		top[x] = int32(saturate16((y0 + z1) >> quarterShift1))
		low[x] = int32(saturate16((y0 - z1) >> quarterShift1))
	}
	for y, in := range [...]*[8]int32{&top, &low} {
		out := (*[2]byte)(dst[y*stride:])
		y0, z1 := in[0]<<quarterBits, quarterZ(in[1], in[3], in[5], in[7])
		out[0], out[1] = sample((y0+z1)>>quarterShift2), sample((y0-z1)>>quarterShift2)
	}
}

func quarterZ(x1, x3, x5, x7 int32) int32 {
	return (x1*quarter1 - x7*quarter7) - (x3*quarter3 - x5*quarter5)
}
