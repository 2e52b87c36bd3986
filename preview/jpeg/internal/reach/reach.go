// Package reach tells the blocks in which samples can leave the range of a
// byte from those in which they cannot, by their coefficients.
//
// By the inverse transform of ITU-T T.81 A.3.3 a sample is at most an eighth of
// the DC coefficient and a quarter of the sum of the others away from the
// middle. Most blocks of a photograph stay within 126 by that, which leaves
// two for rounding, so that nothing is clamped in them.
package reach

// Block holds the quantised coefficients of one block.
type Block = [64]int16

// limit is the sum of DC and twice the others, dequantised, up to which a
// block is tame.
const limit = 8 * 126

// Wild sets wild[i] to 1 if samples of coef[i] may be out of range, to 0 if
// they cannot. Of coef[i] all coefficients behind last[i], in the given order,
// are zero. Products with the steps of q wrap to 16 bits.
func Wild(wild []byte, coef []Block, last []uint8, q *[64]uint16, order *[64]uint8) {
	if len(coef) == 0 {
		return
	}
	wild, last = wild[:len(coef)], last[:len(coef)]
	if !wildFast(wild, coef, q) {
		wildGo(wild, coef, last, q, order)
	}
}

func wildGo(wild []byte, coef []Block, last []uint8, q *[64]uint16, order *[64]uint8) {
	for i := range coef {
		b := &coef[i]
		sum := size(b[0], q[0])
		for _, at := range order[1 : last[i]&63+1] {
			sum += 2 * size(b[at&63], q[at&63])
		}
		wild[i] = 0
		if sum > limit {
			wild[i] = 1
		}
	}
}

func size(coef int16, step uint16) int {
	v := int(coef * int16(step))
	return max(v, -v)
}
