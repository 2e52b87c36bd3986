//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_arm64.h"

// The forward transform of forward.go, a block at a time: 8 words of a row,
// later of a column, in each register. V0 and V1 hold the factors, V2 the level
// shift, V3 a bit for each byte.

SIXTEEN(factors, 0, WORDS(const_evenU2, const_evenU6, const_evenV6, const_oddC3), WORDS(const_odd01, const_odd05, const_odd07, const_odd13))
SIXTEEN(factors, 16, WORDS(const_odd15, const_odd17, const_odd25, const_odd37), 0)
SIXTEEN(factors, 32, WORDS(const_level, const_level, const_level, const_level), WORDS(const_level, const_level, const_level, const_level))
SIXTEEN(factors, 48, 0x8040201008040201, 0x8040201008040201)
GLOBL factors<>(SB), RODATA|NOPTR, $64

// ROW loads eight samples as words.
#define ROW(v) \
	VLD1 (R8), [v.B8] \
	ADD R3, R8, R8 \
	VUSHLL $0, v.B8, v.H8

// FACTORS2 and FACTORS4 make an output of two or four inputs, the elements of
// the factors given.
#define FACTORS2(d, a, b, i, j, shift) \
	SMULL(4, a, 0, i) \
	SMULL2(5, a, 0, i) \
	SMLAL(4, b, 0, j) \
	SMLAL2(5, b, 0, j) \
	RSHRN(d, 4, shift) \
	RSHRN2(d, 5, shift)

#define FACTORS4(d, l, h, m0, i0, m1, i1, m2, i2, m3, i3, shift) \
	SMULL(l, 12, m0, i0) \
	SMULL2(h, 12, m0, i0) \
	SMLAL(l, 13, m1, i1) \
	SMLAL2(h, 13, m1, i1) \
	SMLAL(l, 14, m2, i2) \
	SMLAL2(h, 14, m2, i2) \
	SMLAL(l, 15, m3, i3) \
	SMLAL2(h, 15, m3, i3) \
	RSHRN(d, l, shift) \
	RSHRN2(d, h, shift)

// ANALYSE is one dimension of V16..V23 to V24..V31, of which V24 and V28 are
// not shifted.
#define ANALYSE(shift) \
	VADD V23.H8, V16.H8, V4.H8 \
	VSUB V23.H8, V16.H8, V12.H8 \
	VADD V22.H8, V17.H8, V5.H8 \
	VSUB V22.H8, V17.H8, V13.H8 \
	VADD V21.H8, V18.H8, V6.H8 \
	VSUB V21.H8, V18.H8, V14.H8 \
	VADD V20.H8, V19.H8, V7.H8 \
	VSUB V20.H8, V19.H8, V15.H8 \
	VADD V7.H8, V4.H8, V8.H8 \
	VSUB V7.H8, V4.H8, V9.H8 \
	VADD V6.H8, V5.H8, V10.H8 \
	VSUB V6.H8, V5.H8, V11.H8 \
	VADD V10.H8, V8.H8, V24.H8 \
	VSUB V10.H8, V8.H8, V28.H8 \
	FACTORS2(26, 9, 11, 0, 1, shift) \
	FACTORS2(30, 9, 11, 1, 2, shift) \
	FACTORS4(25, 6, 7, 0, 4, 0, 3, 0, 5, 0, 6, shift) \
	FACTORS4(27, 8, 9, 0, 3, 0, 7, 1, 0, 1, 1, shift) \
	FACTORS4(29, 10, 11, 0, 5, 1, 0, 1, 2, 0, 3, shift) \
	FACTORS4(31, 4, 5, 0, 6, 1, 1, 0, 3, 1, 3, shift)

// QUANTISE divides the row in register n, which is v, and stores it.
#define QUANTISE(n, v) \
	VLD1.P 16(R9), [V4.H8] \
	VLD1.P 16(R10), [V5.H8] \
	VLD1.P 16(R11), [V6.H8] \
	ABS8H(7, n) \
	CMLT8H(8, n) \
	VADD V4.H8, V7.H8, V7.H8 \
	UMULLV(9, 7, 5) \
	UMULL2V(10, 7, 5) \
	VUZP2 V10.H8, V9.H8, V7.H8 \
	USHL8H(7, 7, 6) \
	VEOR V8.B16, V7.B16, V7.B16 \
	VSUB V8.H8, V7.H8, v.H8 \
	VST1.P [v.H8], 16(R0)

// func forwardNEON(coef *Block, nonzero *uint64, src *byte, stride, n int, z *Quantiser)
TEXT ·forwardNEON(SB), NOSPLIT, $0-48
	MOVD coef+0(FP), R0
	MOVD nonzero+8(FP), R1
	MOVD src+16(FP), R2
	MOVD stride+24(FP), R3
	MOVD n+32(FP), R4
	MOVD z+40(FP), R5
	MOVD $factors<>(SB), R6
	VLD1 (R6), [V0.B16, V1.B16, V2.B16, V3.B16]
	MOVD $·Place(SB), R7

next:
	MOVD R2, R8
	ROW(V16)
	ROW(V17)
	ROW(V18)
	ROW(V19)
	ROW(V20)
	ROW(V21)
	ROW(V22)
	ROW(V23)

	ANALYSE(const_fshift1)
	VSUB V2.H8, V24.H8, V24.H8
	VSHL $const_passBits, V24.H8, V24.H8
	VSHL $const_passBits, V28.H8, V28.H8
	TRANSPOSE
	ANALYSE(const_fshift2)
	SRSHR8H(24, 24, const_passBits)
	SRSHR8H(28, 28, const_passBits)

	MOVD R5, R9
	ADD  $128, R5, R10
	ADD  $384, R5, R11
	QUANTISE(24, V24)
	QUANTISE(25, V25)
	QUANTISE(26, V26)
	QUANTISE(27, V27)
	QUANTISE(28, V28)
	QUANTISE(29, V29)
	QUANTISE(30, V30)
	QUANTISE(31, V31)

	// What is not zero, in bytes, in zigzag order, in bits.
	SQXTNB(16, 24)
	SQXTNB2(16, 25)
	SQXTNB(17, 26)
	SQXTNB2(17, 27)
	SQXTNB(18, 28)
	SQXTNB2(18, 29)
	SQXTNB(19, 30)
	SQXTNB2(19, 31)
	VLD1 (R7), [V20.B16, V21.B16, V22.B16, V23.B16]
	VTBL V20.B16, [V16.B16, V17.B16, V18.B16, V19.B16], V4.B16
	VTBL V21.B16, [V16.B16, V17.B16, V18.B16, V19.B16], V5.B16
	VTBL V22.B16, [V16.B16, V17.B16, V18.B16, V19.B16], V6.B16
	VTBL V23.B16, [V16.B16, V17.B16, V18.B16, V19.B16], V7.B16
	VCMTST V4.B16, V4.B16, V4.B16
	VCMTST V5.B16, V5.B16, V5.B16
	VCMTST V6.B16, V6.B16, V6.B16
	VCMTST V7.B16, V7.B16, V7.B16
	VAND V3.B16, V4.B16, V4.B16
	VAND V3.B16, V5.B16, V5.B16
	VAND V3.B16, V6.B16, V6.B16
	VAND V3.B16, V7.B16, V7.B16
	VADDP V5.B16, V4.B16, V4.B16
	VADDP V7.B16, V6.B16, V6.B16
	VADDP V6.B16, V4.B16, V4.B16
	VADDP V4.B16, V4.B16, V4.B16
	VMOV  V4.D[0], R8
	MOVD.P R8, 8(R1)

	ADD  $8, R2, R2
	SUBS $1, R4, R4
	BNE  next
	RET
