//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_arm64.h"

// The full-size inverse of inverse8.go, a block at a time: 8 words of a row,
// later of a column, in each register. V0 and V1 hold the factors, V2 and V3
// what is added before the first shift.

SIXTEEN(factors, 0, WORDS(const_evenU2, const_evenU6, const_evenV6, const_oddC3), WORDS(const_odd01, const_odd05, const_odd07, const_odd13))
SIXTEEN(factors, 16, WORDS(const_odd15, const_odd17, const_odd25, const_odd37), 0)
SIXTEEN(factors, 32, (const_round1<<32)|(const_round1+(const_bias<<const_shift1)), TWICE(const_round1))
SIXTEEN(factors, 48, TWICE(const_round1), TWICE(const_round1))
GLOBL factors<>(SB), RODATA|NOPTR, $64

// EVENMUL, ROUND and EVENSUM make e0..e3 in V12 V14 V15 V13 of x0 x2 x4 x6 in
// V16 V18 V20 V22, by the widening instructions named.
#define ROUND(r) \
	VADD r.S4, V8.S4, V8.S4 \
	VADD r.S4, V9.S4, V9.S4

#define EVENMUL(WADD, WSUB, WMUL, WMLA) \
	WADD(8, 16, 20) \
	WSUB(9, 16, 20) \
	WMUL(10, 18, 0, 0) \
	WMLA(10, 22, 0, 1) \
	WMUL(11, 18, 0, 1) \
	WMLA(11, 22, 0, 2) \
	VSHL $const_constBits, V8.S4, V8.S4 \
	VSHL $const_constBits, V9.S4, V9.S4

#define EVENSUM \
	VADD V10.S4, V8.S4, V12.S4 \
	VSUB V10.S4, V8.S4, V13.S4 \
	VADD V11.S4, V9.S4, V14.S4 \
	VSUB V11.S4, V9.S4, V15.S4

// ODD makes o0..o3 in V4..V7 of x1 x3 x5 x7 in V17 V19 V21 V23.
#define ODD(WMUL, WMLA) \
	WMUL(4, 17, 0, 4) \
	WMUL(5, 17, 0, 3) \
	WMUL(6, 17, 0, 5) \
	WMUL(7, 17, 0, 6) \
	WMLA(4, 19, 0, 3) \
	WMLA(5, 19, 0, 7) \
	WMLA(6, 19, 1, 0) \
	WMLA(7, 19, 1, 1) \
	WMLA(4, 21, 0, 5) \
	WMLA(5, 21, 1, 0) \
	WMLA(6, 21, 1, 2) \
	WMLA(7, 21, 0, 3) \
	WMLA(4, 23, 0, 6) \
	WMLA(5, 23, 1, 1) \
	WMLA(6, 23, 0, 3) \
	WMLA(7, 23, 1, 3)

// EVENFEW and ODDFEW are the same where x4..x7 are zero.
#define EVENFEW(WSHL, WMUL) \
	WSHL(8, 16, const_constBits) \
	WSHL(9, 16, const_constBits) \
	WMUL(10, 18, 0, 0) \
	WMUL(11, 18, 0, 1)

#define ODDFEW(WMUL, WMLA) \
	WMUL(4, 17, 0, 4) \
	WMUL(5, 17, 0, 3) \
	WMUL(6, 17, 0, 5) \
	WMUL(7, 17, 0, 6) \
	WMLA(4, 19, 0, 3) \
	WMLA(5, 19, 0, 7) \
	WMLA(6, 19, 1, 0) \
	WMLA(7, 19, 1, 1)

// OUT narrows e+o and e-o into halves of V24..V31.
#define OUT(NARROW, shift) \
	VADD V4.S4, V12.S4, V8.S4 \
	VSUB V4.S4, V12.S4, V9.S4 \
	VADD V5.S4, V14.S4, V10.S4 \
	VSUB V5.S4, V14.S4, V11.S4 \
	VADD V6.S4, V15.S4, V4.S4 \
	VSUB V6.S4, V15.S4, V5.S4 \
	VADD V7.S4, V13.S4, V12.S4 \
	VSUB V7.S4, V13.S4, V14.S4 \
	NARROW(24, 8, shift) \
	NARROW(31, 9, shift) \
	NARROW(25, 10, shift) \
	NARROW(30, 11, shift) \
	NARROW(26, 4, shift) \
	NARROW(29, 5, shift) \
	NARROW(27, 12, shift) \
	NARROW(28, 14, shift)

// func inverse8NEON(dst *byte, stride int, coef *Block, n int, q *Table)
TEXT ·inverse8NEON(SB), NOSPLIT, $0-40
	MOVD dst+0(FP), R0
	MOVD stride+8(FP), R1
	MOVD coef+16(FP), R2
	MOVD n+24(FP), R3
	MOVD q+32(FP), R4
	ADD  $64, R4, R5
	MOVD $factors<>(SB), R6
	VLD1 (R6), [V0.B16, V1.B16, V2.B16, V3.B16]

next:
	VLD1.P 64(R2), [V16.H8, V17.H8, V18.H8, V19.H8]
	VLD1.P 64(R2), [V20.H8, V21.H8, V22.H8, V23.H8]

	// Anything in rows or columns 4 to 7?
	VORR V20.B16, V21.B16, V4.B16
	VORR V22.B16, V23.B16, V5.B16
	VORR V16.B16, V17.B16, V6.B16
	VORR V18.B16, V19.B16, V7.B16
	VORR V4.B16, V5.B16, V4.B16
	VORR V6.B16, V7.B16, V6.B16
	VMOV V4.D[0], R6
	VMOV V4.D[1], R7
	VMOV V6.D[1], R8
	ORR  R7, R6, R6
	ORR  R8, R6, R6
	CBZ  R6, few

	VLD1 (R4), [V24.H8, V25.H8, V26.H8, V27.H8]
	VLD1 (R5), [V28.H8, V29.H8, V30.H8, V31.H8]
	MUL8H(16, 16, 24)
	MUL8H(17, 17, 25)
	MUL8H(18, 18, 26)
	MUL8H(19, 19, 27)
	MUL8H(20, 20, 28)
	MUL8H(21, 21, 29)
	MUL8H(22, 22, 30)
	MUL8H(23, 23, 31)

	EVENMUL(SADDL, SSUBL, SMULL, SMLAL)
	ROUND(V2)
	EVENSUM
	ODD(SMULL, SMLAL)
	OUT(SQSHRN, const_shift1)
	EVENMUL(SADDL2, SSUBL2, SMULL2, SMLAL2)
	ROUND(V3)
	EVENSUM
	ODD(SMULL2, SMLAL2)
	OUT(SQSHRN2, const_shift1)

	TRANSPOSE

	EVENMUL(SADDL, SSUBL, SMULL, SMLAL)
	EVENSUM
	ODD(SMULL, SMLAL)
	OUT(SHRN, 16)
	EVENMUL(SADDL2, SSUBL2, SMULL2, SMLAL2)
	EVENSUM
	ODD(SMULL2, SMLAL2)
	OUT(SHRN2, 16)

store: // columns 0..7 are words in V24..V31, shifted by 16
	SQSHRNB(16, 24, const_shift2-16)
	SQSHRNB(17, 25, const_shift2-16)
	SQSHRNB(18, 26, const_shift2-16)
	SQSHRNB(19, 27, const_shift2-16)
	SQSHRNB2(16, 28, const_shift2-16)
	SQSHRNB2(17, 29, const_shift2-16)
	SQSHRNB2(18, 30, const_shift2-16)
	SQSHRNB2(19, 31, const_shift2-16)
	VTRN1 V17.B16, V16.B16, V20.B16
	VTRN2 V17.B16, V16.B16, V21.B16
	VTRN1 V19.B16, V18.B16, V22.B16
	VTRN2 V19.B16, V18.B16, V23.B16
	VTRN1 V22.H8, V20.H8, V16.H8
	VTRN2 V22.H8, V20.H8, V18.H8
	VTRN1 V23.H8, V21.H8, V17.H8
	VTRN2 V23.H8, V21.H8, V19.H8
	VUZP1 V17.S4, V16.S4, V20.S4
	VUZP2 V17.S4, V16.S4, V22.S4
	VUZP1 V19.S4, V18.S4, V21.S4
	VUZP2 V19.S4, V18.S4, V23.S4
	VMOVI $128, V4.B16
	VEOR  V4.B16, V20.B16, V20.B16
	VEOR  V4.B16, V21.B16, V21.B16
	VEOR  V4.B16, V22.B16, V22.B16
	VEOR  V4.B16, V23.B16, V23.B16
	MOVD  R0, R6
	VST1  V20.D[0], (R6)
	ADD   R1, R6, R6
	VST1  V20.D[1], (R6)
	ADD   R1, R6, R6
	VST1  V21.D[0], (R6)
	ADD   R1, R6, R6
	VST1  V21.D[1], (R6)
	ADD   R1, R6, R6
	VST1  V22.D[0], (R6)
	ADD   R1, R6, R6
	VST1  V22.D[1], (R6)
	ADD   R1, R6, R6
	VST1  V23.D[0], (R6)
	ADD   R1, R6, R6
	VST1  V23.D[1], (R6)

stored:
	ADD  $8, R0, R0
	SUBS $1, R3, R3
	BNE  next
	RET

few: // only columns 0..3 of V16..V19
	VORR V18.B16, V17.B16, V4.B16
	VORR V19.B16, V4.B16, V4.B16
	VMOV V4.D[0], R6
	VMOV V16.D[0], R7
	LSR  $16, R7, R7
	ORR  R7, R6, R6
	CBZ  R6, mean

	VLD1 (R4), [V24.H8, V25.H8, V26.H8, V27.H8]
	MUL8H(16, 16, 24)
	MUL8H(17, 17, 25)
	MUL8H(18, 18, 26)
	MUL8H(19, 19, 27)

	EVENFEW(SSHLL, SMULL)
	ROUND(V2)
	EVENSUM
	ODDFEW(SMULL, SMLAL)
	OUT(SQSHRN, const_shift1)

	// Rows of four words in V24..V31 to four columns of eight.
	VTRN1 V28.D2, V24.D2, V24.D2
	VTRN1 V29.D2, V25.D2, V25.D2
	VTRN1 V30.D2, V26.D2, V26.D2
	VTRN1 V31.D2, V27.D2, V27.D2
	VTRN1 V25.H8, V24.H8, V20.H8
	VTRN2 V25.H8, V24.H8, V21.H8
	VTRN1 V27.H8, V26.H8, V22.H8
	VTRN2 V27.H8, V26.H8, V23.H8
	VTRN1 V22.S4, V20.S4, V16.S4
	VTRN2 V22.S4, V20.S4, V18.S4
	VTRN1 V23.S4, V21.S4, V17.S4
	VTRN2 V23.S4, V21.S4, V19.S4

	EVENFEW(SSHLL, SMULL)
	EVENSUM
	ODDFEW(SMULL, SMLAL)
	OUT(SHRN, 16)
	EVENFEW(SSHLL2, SMULL2)
	EVENSUM
	ODDFEW(SMULL2, SMLAL2)
	OUT(SHRN2, 16)
	B store

mean:
	MEAN(R4)
	MOVD R0, R6
	VST1 V4.D[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.D[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.D[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.D[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.D[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.D[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.D[0], (R6)
	ADD  R1, R6, R6
	VST1 V4.D[0], (R6)
	B    stored
