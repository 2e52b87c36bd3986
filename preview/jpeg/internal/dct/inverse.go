package dct

// Inverse8 writes the 8x8 samples of a block to dst, rows stride apart. On
// coefficients that a coder can have made it gives the bits of the accurate
// integer transform of libjpeg ("islow").
//
// As everywhere in this package dst has to reach as far as the last sample;
// it panics otherwise, as an index out of range does.
func Inverse8(dst []byte, stride int, coef *Block, q *Table) {
	_ = dst[7*stride : 7*stride+8]
	if !fastInverse8(dst, stride, coef, 1, q) {
		inverse8Go(dst, stride, coef, q)
	}
}

// Inverse4 writes 4x4 samples, each the mean of 2x2 samples of the block
// before those are clamped.
func Inverse4(dst []byte, stride int, coef *Block, q *Table) {
	_ = dst[3*stride : 3*stride+4]
	if !fastInverse4(dst, stride, coef, 1, q) {
		inverse4Go(dst, stride, coef, q)
	}
}

// Inverse2 writes 2x2 samples, each the mean of 4x4 samples of the block
// before those are clamped.
func Inverse2(dst []byte, stride int, coef *Block, q *Table) {
	_ = dst[stride : stride+2]
	if !fastInverse2(dst, stride, coef, 1, q) {
		inverse2Go(dst, stride, coef, q)
	}
}

// Inverse1 returns the mean of the block: its coefficient 0 divided by 8,
// halves up. It is also every sample, at any size, of a block that has no
// other coefficient.
func Inverse1(dc int16, q uint16) byte {
	return sample((int32(dc*int16(q)) + 4) >> 3)
}

// Inverse8Row is Inverse8 of blocks side by side: the samples of coef[i] begin
// at column 8*i. Two blocks at once take little longer than one.
func Inverse8Row(dst []byte, stride int, coef []Block, q *Table) {
	n := len(coef)
	if n == 0 {
		return
	}
	_ = dst[7*stride : 7*stride+8*n]
	if fastInverse8(dst, stride, &coef[0], n, q) {
		return
	}
	for i := range coef {
		inverse8Go(dst[8*i:], stride, &coef[i], q)
	}
}

// Inverse4Row is Inverse4 of blocks side by side.
func Inverse4Row(dst []byte, stride int, coef []Block, q *Table) {
	n := len(coef)
	if n == 0 {
		return
	}
	_ = dst[3*stride : 3*stride+4*n]
	if fastInverse4(dst, stride, &coef[0], n, q) {
		return
	}
	for i := range coef {
		inverse4Go(dst[4*i:], stride, &coef[i], q)
	}
}

// Inverse2Row is Inverse2 of blocks side by side.
func Inverse2Row(dst []byte, stride int, coef []Block, q *Table) {
	n := len(coef)
	if n == 0 {
		return
	}
	_ = dst[stride : stride+2*n]
	if fastInverse2(dst, stride, &coef[0], n, q) {
		return
	}
	for i := range coef {
		inverse2Go(dst[2*i:], stride, &coef[i], q)
	}
}
