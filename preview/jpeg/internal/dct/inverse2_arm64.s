//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_arm64.h"

// The quarter-size inverse of inverse2.go, a block at a time. V0 holds the
// factors, V1 and V2 what is added before the first shift, V3 to V6 the factors
// of the second pass, two for each column. A half of the factor of x0 has to
// do, since the whole is no word: that sum is doubled.

SIXTEEN(factors, 0, WORDS(const_quarter1, -const_quarter3, const_quarter5, -const_quarter7), 0)
SIXTEEN(factors, 16, (const_quarterRound1<<32)|(const_quarterRound1+(const_bias<<const_quarterShift1)), TWICE(const_quarterRound1))
SIXTEEN(factors, 32, TWICE(const_quarterRound1), TWICE(const_quarterRound1))
SIXTEEN(factors, 48, WORDS(1<<(const_quarterBits-1), 1<<(const_quarterBits-1), const_quarter1, const_quarter1), 0)
SIXTEEN(factors, 64, 0, WORDS(0, 0, -const_quarter3, -const_quarter3))
SIXTEEN(factors, 80, WORDS(0, 0, const_quarter5, const_quarter5), 0)
SIXTEEN(factors, 96, 0, WORDS(0, 0, -const_quarter7, -const_quarter7))
GLOBL factors<>(SB), RODATA|NOPTR, $112

// LINES makes the upper and the lower row in halves of V24 and V25.
#define LINES(round, WSHL, WMUL, WMLA, NARROW) \
	WSHL(26, 16, const_quarterBits) \
	WMUL(27, 17, 0, 0) \
	WMLA(27, 19, 0, 1) \
	WMLA(27, 21, 0, 2) \
	WMLA(27, 23, 0, 3) \
	VADD round.S4, V26.S4, V26.S4 \
	VADD V27.S4, V26.S4, V28.S4 \
	VSUB V27.S4, V26.S4, V29.S4 \
	NARROW(24, 28, const_quarterShift1) \
	NARROW(25, 29, const_quarterShift1)

// func inverse2NEON(dst *byte, stride int, coef *Block, n int, q *Table)
TEXT ·inverse2NEON(SB), NOSPLIT, $0-40
	MOVD dst+0(FP), R0
	MOVD stride+8(FP), R1
	MOVD coef+16(FP), R2
	MOVD n+24(FP), R3
	MOVD q+32(FP), R4
	ADD  $64, R4, R5
	MOVD $factors<>(SB), R6
	VLD1.P 64(R6), [V0.B16, V1.B16, V2.B16, V3.B16]
	VLD1   (R6), [V4.B16, V5.B16, V6.B16]

next:
	VLD1.P 64(R2), [V16.H8, V17.H8, V18.H8, V19.H8]
	VLD1.P 64(R2), [V20.H8, V21.H8, V22.H8, V23.H8]
	VLD1 (R4), [V24.H8, V25.H8, V26.H8, V27.H8]
	MUL8H(16, 16, 24)
	MUL8H(17, 17, 25)
	MUL8H(19, 19, 27)
	VLD1 (R5), [V24.H8, V25.H8, V26.H8, V27.H8]
	MUL8H(21, 21, 25)
	MUL8H(23, 23, 27)

	LINES(V1, SSHLL, SMULL, SMLAL, SQSHRN)
	LINES(V2, SSHLL2, SMULL2, SMLAL2, SQSHRN2)

	VZIP1 V25.H8, V24.H8, V26.H8
	VZIP2 V25.H8, V24.H8, V27.H8
	SMULLV(28, 26, 3)
	SMLAL2V(28, 26, 4)
	SMLALV(28, 27, 5)
	SMLAL2V(28, 27, 6)
	VEXT  $8, V28.B16, V28.B16, V29.B16
	VADD  V28.S4, V28.S4, V28.S4
	VADD  V29.S4, V28.S4, V24.S4
	VSUB  V29.S4, V28.S4, V25.S4
	VZIP1 V25.S4, V24.S4, V26.S4
	SHRN(26, 26, 16)
	SQSHRNB(26, 26, const_quarterShift2-16)
	VMOVI $128, V7.B16
	VEOR  V7.B16, V26.B16, V26.B16
	ADD   R1, R0, R6
	VST1  V26.H[0], (R0)
	VST1  V26.H[1], (R6)

	ADD  $2, R0, R0
	SUBS $1, R3, R3
	BNE  next
	RET
