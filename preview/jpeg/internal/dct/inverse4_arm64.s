//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_arm64.h"

// The half-size inverse of inverse4.go, a block at a time. V0 and V1 hold the
// factors, V2 and V3 what is added before the first shift, V31 the byte order
// of the last step: four columns of four rows to four rows of four columns.

SIXTEEN(factors, 0, WORDS(const_half2, -const_half6, const_half1p, -const_half7p), WORDS(const_half3p, -const_half5p, const_half1q, -const_half7q))
SIXTEEN(factors, 16, WORDS(-const_half3q, const_half5q, 0, 0), 0)
SIXTEEN(factors, 32, (const_halfRound1<<32)|(const_halfRound1+(const_bias<<const_halfShift1)), TWICE(const_halfRound1))
SIXTEEN(factors, 48, TWICE(const_halfRound1), TWICE(const_halfRound1))
SIXTEEN(factors, 64, 0x0D0905010C080400, 0x0F0B07030E0A0602)
GLOBL factors<>(SB), RODATA|NOPTR, $80

// MULS makes x0 shifted, Y2, outer and inner in V4..V7 of x0 x1 x2 x3 in
// V16..V19 and x5 x6 x7 in V21..V23. The second three may be in another half of
// their registers: NMUL and NMLA are for those.
#define MULS(x5, x6, x7, WSHL, WMUL, WMLA, NMLA) \
	WSHL(4, 16, const_halfBits) \
	WMUL(5, 18, 0, 0) \
	NMLA(5, x6, 0, 1) \
	WMUL(6, 17, 0, 2) \
	WMUL(7, 17, 0, 6) \
	WMLA(6, 19, 0, 4) \
	WMLA(7, 19, 1, 0) \
	NMLA(6, x7, 0, 3) \
	NMLA(7, x7, 0, 7) \
	NMLA(6, x5, 0, 5) \
	NMLA(7, x5, 1, 1)

// SUMS makes outputs 0..3 in V10 V11 V12 V13.
#define SUMS \
	VADD V5.S4, V4.S4, V8.S4 \
	VSUB V5.S4, V4.S4, V9.S4 \
	VADD V6.S4, V8.S4, V10.S4 \
	VSUB V6.S4, V8.S4, V13.S4 \
	VADD V7.S4, V9.S4, V11.S4 \
	VSUB V7.S4, V9.S4, V12.S4

// func inverse4NEON(dst *byte, stride int, coef *Block, n int, q *Table)
TEXT ·inverse4NEON(SB), NOSPLIT, $0-40
	MOVD dst+0(FP), R0
	MOVD stride+8(FP), R1
	MOVD coef+16(FP), R2
	MOVD n+24(FP), R3
	MOVD q+32(FP), R4
	ADD  $64, R4, R5
	MOVD $factors<>(SB), R6
	VLD1.P 64(R6), [V0.B16, V1.B16, V2.B16, V3.B16]
	VLD1   (R6), [V31.B16]

next:
	VLD1.P 64(R2), [V16.H8, V17.H8, V18.H8, V19.H8]
	VLD1.P 64(R2), [V20.H8, V21.H8, V22.H8, V23.H8]

	// Nothing but a mean?
	VORR V17.B16, V18.B16, V4.B16
	VORR V19.B16, V21.B16, V5.B16
	VORR V22.B16, V23.B16, V6.B16
	VORR V4.B16, V5.B16, V4.B16
	VORR V6.B16, V4.B16, V4.B16
	VMOV V4.D[0], R6
	VMOV V4.D[1], R7
	VMOV V16.D[0], R8
	VMOV V16.D[1], R9
	LSR  $16, R8, R8
	ORR  R7, R6, R6
	ORR  R9, R8, R8
	ORR  R8, R6, R6
	CBZ  R6, mean

	VLD1 (R4), [V24.H8, V25.H8, V26.H8, V27.H8]
	MUL8H(16, 16, 24)
	MUL8H(17, 17, 25)
	MUL8H(18, 18, 26)
	MUL8H(19, 19, 27)
	VLD1 (R5), [V24.H8, V25.H8, V26.H8, V27.H8]
	MUL8H(21, 21, 25)
	MUL8H(22, 22, 26)
	MUL8H(23, 23, 27)

	MULS(21, 22, 23, SSHLL, SMULL, SMLAL, SMLAL)
	VADD V2.S4, V4.S4, V4.S4
	SUMS
	SQSHRN(24, 10, const_halfShift1)
	SQSHRN(25, 11, const_halfShift1)
	SQSHRN(26, 12, const_halfShift1)
	SQSHRN(27, 13, const_halfShift1)
	MULS(21, 22, 23, SSHLL2, SMULL2, SMLAL2, SMLAL2)
	VADD V3.S4, V4.S4, V4.S4
	SUMS
	SQSHRN2(24, 10, const_halfShift1)
	SQSHRN2(25, 11, const_halfShift1)
	SQSHRN2(26, 12, const_halfShift1)
	SQSHRN2(27, 13, const_halfShift1)

	// Four rows to columns 0..3 in the lower halves of V16..V19, and 4..7 in
	// the upper ones.
	VTRN1 V25.H8, V24.H8, V20.H8
	VTRN2 V25.H8, V24.H8, V21.H8
	VTRN1 V27.H8, V26.H8, V22.H8
	VTRN2 V27.H8, V26.H8, V23.H8
	VTRN1 V22.S4, V20.S4, V16.S4
	VTRN2 V22.S4, V20.S4, V18.S4
	VTRN1 V23.S4, V21.S4, V17.S4
	VTRN2 V23.S4, V21.S4, V19.S4

	MULS(17, 18, 19, SSHLL, SMULL, SMLAL, SMLAL2)
	SUMS
	SHRN(4, 10, 16)
	SHRN2(4, 11, 16)
	SHRN(5, 12, 16)
	SHRN2(5, 13, 16)
	SQSHRNB(6, 4, const_halfShift2-16)
	SQSHRNB2(6, 5, const_halfShift2-16)
	VMOVI $128, V7.B16
	VTBL  V31.B16, [V6.B16], V6.B16
	VEOR  V7.B16, V6.B16, V6.B16
	MOVD  R0, R6
	VST1  V6.S[0], (R6)
	ADD   R1, R6, R6
	VST1  V6.S[1], (R6)
	ADD   R1, R6, R6
	VST1  V6.S[2], (R6)
	ADD   R1, R6, R6
	VST1  V6.S[3], (R6)

stored:
	ADD  $4, R0, R0
	SUBS $1, R3, R3
	BNE  next
	RET

mean:
	MEAN(R4)
	MOVD R0, R6
	VST1 V4.S[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.S[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.S[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.S[0], (R6)
	B    stored
