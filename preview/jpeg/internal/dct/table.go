package dct

// Size is the number of coefficients, or samples, of a block.
const Size = 64

// Block holds the quantised coefficients of one block in natural order: the
// frequency grows to the right and downwards.
type Block = [Size]int16

// Table holds the quantisation steps of a block in natural order. All 65536
// values of a step are defined.
type Table [Size]uint16

// times returns what coefficient i stands for, wrapped to 16 bits.
func (q *Table) times(coef *Block, i int) int32 {
	return int32(coef[i] * int16(q[i]))
}

// saturate16 returns the nearest 16-bit value.
func saturate16(v int32) int16 {
	return int16(min(max(v, -32768), 32767))
}

// sample returns the sample for v around zero: the level shift of T.81 A.3.1,
// and the nearest value of a byte.
func sample(v int32) byte {
	return byte(min(max(v, -128), 127) + 128)
}
