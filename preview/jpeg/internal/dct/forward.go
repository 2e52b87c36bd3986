package dct

// The forward transform is the inverse one of inverse8.go the other way round:
// the same factors, the matrix turned over. It goes down the columns first, in
// which 2 more bits of a value than its integer part are kept, then along the
// rows. A dimension comes out larger by the root of 8, so that a coefficient is
// 8 times what T.81 A.3.3 has; the quantisation divides by that too.
//
// Samples are bytes and nothing can overflow: a dimension is at most 8 times
// its largest input, which makes 128*8*4 after the columns and twice 16384
// before the last shift.
const (
	fshift1 = constBits - passBits
	fshift2 = constBits + passBits
	fround1 = 1 << (fshift1 - 1)
	fround2 = 1 << (fshift2 - 1)
	level   = 8 * 128 // the level shift of A.3.1 in the sum of a column
)

// Forward transforms and quantises the block of 8x8 samples at src, rows stride
// apart, and returns which of its coefficients are not zero: bit k is that of
// place k in the zigzag order of T.81 figure A.6. Its value is coef[Place[k]].
func Forward(coef *Block, src []byte, stride int, z *Quantiser) (nonzero uint64) {
	_ = src[7*stride : 7*stride+8]
	if !fastForward(coef, &nonzero, src, stride, 1, z) {
		nonzero = forwardGo(coef, src, stride, z)
	}
	return nonzero
}

// ForwardRow is Forward of blocks side by side, the first 8*len(coef) columns
// of src. nonzero is as long as coef. Two blocks at once take little longer
// than one.
func ForwardRow(coef []Block, nonzero []uint64, src []byte, stride int, z *Quantiser) {
	n := len(coef)
	if n == 0 {
		return
	}
	_, _ = src[7*stride:7*stride+8*n], nonzero[n-1]
	if fastForward(&coef[0], &nonzero[0], src, stride, n, z) {
		return
	}
	for i := range coef {
		nonzero[i] = forwardGo(&coef[i], src[8*i:], stride, z)
	}
}

// forwardGo is Forward in plain Go.
func forwardGo(coef *Block, src []byte, stride int, z *Quantiser) (nonzero uint64) {
	var mid [Size]int32 // columns of the vertical frequencies
	for x := range 8 {
		at := x
		var s [8]int32
		for y := range s {
			s[y] = int32(src[at])
			at += stride
		}
		out := (*[8]int32)(mid[8*x:])
		e0, e4, e2, e6, o1, o3, o5, o7 := analyse(&s)
		out[0], out[4] = (e0-level)<<passBits, e4<<passBits
		out[1], out[2], out[3] = (o1+fround1)>>fshift1, (e2+fround1)>>fshift1, (o3+fround1)>>fshift1
		out[5], out[6], out[7] = (o5+fround1)>>fshift1, (e6+fround1)>>fshift1, (o7+fround1)>>fshift1
	}
	for v := range 8 {
		var s [8]int32
		for x := range s {
			s[x] = mid[8*x+v]
		}
		e0, e4, e2, e6, o1, o3, o5, o7 := analyse(&s)
		coef[v], coef[32+v] = z.quantise((e0+2)>>passBits, v), z.quantise((e4+2)>>passBits, 32+v)
		coef[8+v] = z.quantise((o1+fround2)>>fshift2, 8+v)
		coef[16+v] = z.quantise((e2+fround2)>>fshift2, 16+v)
		coef[24+v] = z.quantise((o3+fround2)>>fshift2, 24+v)
		coef[40+v] = z.quantise((o5+fround2)>>fshift2, 40+v)
		coef[48+v] = z.quantise((e6+fround2)>>fshift2, 48+v)
		coef[56+v] = z.quantise((o7+fround2)>>fshift2, 56+v)
	}
	for k, p := range Place {
		if coef[p] != 0 {
			nonzero |= 1 << k
		}
	}
	return nonzero
}

// analyse is one dimension: outputs 0 and 4 as they are, the others times 2^13.
func analyse(x *[8]int32) (e0, e4, e2, e6, o1, o3, o5, o7 int32) {
	s0, d0 := x[0]+x[7], x[0]-x[7]
	s1, d1 := x[1]+x[6], x[1]-x[6]
	s2, d2 := x[2]+x[5], x[2]-x[5]
	s3, d3 := x[3]+x[4], x[3]-x[4]
	t0, t3 := s0+s3, s0-s3
	t1, t2 := s1+s2, s1-s2
	e0, e4 = t0+t1, t0-t1
	e2 = t3*evenU2 + t2*evenV2
	e6 = t3*evenU6 + t2*evenV6
	o1 = d0*odd01 + d1*odd11 + d2*odd21 + d3*odd31
	o3 = d0*odd03 + d1*odd13 + d2*odd23 + d3*odd33
	o5 = d0*odd05 + d1*odd15 + d2*odd25 + d3*odd35
	o7 = d0*odd07 + d1*odd17 + d2*odd27 + d3*odd37
	return
}

// Place is where the forward transform puts the coefficients of zigzag order
// (T.81 figure A.6): it leaves them column by column, since that saves turning
// the block once more.
var Place = [Size]uint8{
	0, 8, 1, 2, 9, 16, 24, 17, 10, 3, 4, 11, 18, 25, 32, 40,
	33, 26, 19, 12, 5, 6, 13, 20, 27, 34, 41, 48, 56, 49, 42, 35,
	28, 21, 14, 7, 15, 22, 29, 36, 43, 50, 57, 58, 51, 44, 37, 30,
	23, 31, 38, 45, 52, 59, 60, 53, 46, 39, 47, 54, 61, 62, 55, 63,
}
