package imprint

// This file has the transform of JFIF 1.02, page 3, in whole numbers of 1/65536.
// The factors of luma add up to one and those of chroma to nothing, so that grey
// stays grey of the same code.
const (
	lumaR, lumaG, lumaB = 19595, 38470, 7471
	cbR, cbG, half      = -11059, -21709, 32768
	crG, crB            = -27439, -5329
)

func lumaRow(y, rgb []byte) {
	rgb = rgb[:3*len(y)]
	for i := range y {
		p := rgb[3*i : 3*i+3 : 3*i+3]
		y[i] = byte((lumaR*uint32(p[0]) + lumaG*uint32(p[1]) + lumaB*uint32(p[2]) + half) >> 16)
	}
}

// Pure blue and red would round to 256: as in common practice a half is rounded
// down.
func chromaRow(cb, cr, rgb []byte) {
	cr, rgb = cr[:len(cb)], rgb[:3*len(cb)]
	const zero = 128<<16 + half - 1
	for i := range cb {
		p := rgb[3*i : 3*i+3 : 3*i+3]
		r, g, b := int32(p[0]), int32(p[1]), int32(p[2])
		cb[i] = byte((cbR*r + cbG*g + half*b + zero) >> 16)
		cr[i] = byte((half*r + crG*g + crB*b + zero) >> 16)
	}
}

// addPairs adds up neighbours of a row; the last of an odd row counts twice.
func addPairs(sums []uint16, rgb []byte, first bool) {
	n := len(rgb) / 6
	if first {
		clear(sums)
	}
	for i := range n {
		p, s := rgb[6*i:6*i+6:6*i+6], sums[3*i:3*i+3:3*i+3]
		s[0] += uint16(p[0]) + uint16(p[3])
		s[1] += uint16(p[1]) + uint16(p[4])
		s[2] += uint16(p[2]) + uint16(p[5])
	}
	if len(rgb)%6 != 0 {
		for c := range 3 {
			sums[3*n+c] += 2 * uint16(rgb[6*n+c])
		}
	}
}

// chromaSums is chromaRow of sums of four.
func chromaSums(cb, cr []byte, sums []uint16) {
	cr, sums = cr[:len(cb)], sums[:3*len(cb)]
	const zero = 128<<18 + half*4 - 1
	for i := range cb {
		p := sums[3*i : 3*i+3 : 3*i+3]
		r, g, b := int32(p[0]), int32(p[1]), int32(p[2])
		cb[i] = byte((cbR*r + cbG*g + half*b + zero) >> 18)
		cr[i] = byte((half*r + crG*g + crB*b + zero) >> 18)
	}
}
