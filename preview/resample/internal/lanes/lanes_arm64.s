//go:build !purego

#include "go_asm.h"
#include "textflag.h"

// The kernels of path_vector.go.

// QUARTER turns four rows a..d of four about their diagonal, into e..h.
#define QUARTER(a, b, c, d, e, f, g, h) \
	VTRN1 b.S4, a.S4, V24.S4    \
	VTRN2 b.S4, a.S4, V25.S4    \
	VTRN1 d.S4, c.S4, V26.S4    \
	VTRN2 d.S4, c.S4, V27.S4    \
	VZIP1 V26.D2, V24.D2, e.D2  \
	VZIP1 V27.D2, V25.D2, f.D2  \
	VZIP2 V26.D2, V24.D2, g.D2  \
	VZIP2 V27.D2, V25.D2, h.D2

// func transpose8(a *transposeArgs)
//
// The lower and the upper half of each result are neighbouring registers.
TEXT ·transpose8(SB), NOSPLIT, $0-8
	MOVD a+0(FP), R0
	MOVD transposeArgs_dst(R0), R1
	MOVD transposeArgs_src(R0), R2
	MOVD transposeArgs_dstRow(R0), R3
	MOVD transposeArgs_srcRow(R0), R4
	MOVD transposeArgs_dstStep(R0), R5
	MOVD transposeArgs_srcStep(R0), R6
	MOVD transposeArgs_blocks(R0), R7

block:
	MOVD R2, R8
	VLD1.P (R8)(R4), [V0.S4, V1.S4]
	VLD1.P (R8)(R4), [V2.S4, V3.S4]
	VLD1.P (R8)(R4), [V4.S4, V5.S4]
	VLD1.P (R8)(R4), [V6.S4, V7.S4]
	QUARTER(V0, V2, V4, V6, V8, V10, V12, V14)
	QUARTER(V1, V3, V5, V7, V16, V18, V20, V22)
	VLD1.P (R8)(R4), [V0.S4, V1.S4]
	VLD1.P (R8)(R4), [V2.S4, V3.S4]
	VLD1.P (R8)(R4), [V4.S4, V5.S4]
	VLD1 (R8), [V6.S4, V7.S4]
	QUARTER(V0, V2, V4, V6, V9, V11, V13, V15)
	QUARTER(V1, V3, V5, V7, V17, V19, V21, V23)
	MOVD R1, R8
	VST1.P [V8.S4, V9.S4], (R8)(R3)
	VST1.P [V10.S4, V11.S4], (R8)(R3)
	VST1.P [V12.S4, V13.S4], (R8)(R3)
	VST1.P [V14.S4, V15.S4], (R8)(R3)
	VST1.P [V16.S4, V17.S4], (R8)(R3)
	VST1.P [V18.S4, V19.S4], (R8)(R3)
	VST1.P [V20.S4, V21.S4], (R8)(R3)
	VST1 [V22.S4, V23.S4], (R8)
	ADD  R5, R1
	ADD  R6, R2
	SUB  $1, R7
	CBNZ R7, block
	RET

// TAP adds a tap of a pixel, six registers of samples.
#define TAP(a, b, c, d, e, f) \
	VLD1R.P 4(R4), [V28.S4]                    \
	VLD1.P 64(R9), [V16.S4, V17.S4, V18.S4, V19.S4] \
	VLD1.P 32(R9), [V20.S4, V21.S4]            \
	VFMLA V28.S4, V16.S4, a.S4 \
	VFMLA V28.S4, V17.S4, b.S4 \
	VFMLA V28.S4, V18.S4, c.S4 \
	VFMLA V28.S4, V19.S4, d.S4 \
	VFMLA V28.S4, V20.S4, e.S4 \
	VFMLA V28.S4, V21.S4, f.S4

#define CLEAR(v) VEOR v.B16, v.B16, v.B16

// func across8(a *acrossArgs)
//
// The sums of a pixel over taps of even number are in V0..V5, those of odd number
// in V6..V11. V29 is one: adding is a product with it.
TEXT ·across8(SB), NOSPLIT, $0-8
	MOVD a+0(FP), R0
	MOVD acrossArgs_dst(R0), R1
	MOVD acrossArgs_src(R0), R2
	MOVD acrossArgs_first(R0), R3
	MOVD acrossArgs_weight(R0), R4
	MOVD acrossArgs_pairs(R0), R5
	MOVD acrossArgs_origin(R0), R6
	MOVD acrossArgs_n(R0), R7
	MOVD $0x3F800000, R8
	VDUP R8, V29.S4
	MOVD $96, R10

point:
	MOVW.P 4(R3), R9
	SUB  R6, R9
	MADD R10, R2, R9, R9
	CLEAR(V0)
	CLEAR(V1)
	CLEAR(V2)
	CLEAR(V3)
	CLEAR(V4)
	CLEAR(V5)
	CLEAR(V6)
	CLEAR(V7)
	CLEAR(V8)
	CLEAR(V9)
	CLEAR(V10)
	CLEAR(V11)
	MOVD R5, R8

taps:
	TAP(V0, V1, V2, V3, V4, V5)
	TAP(V6, V7, V8, V9, V10, V11)
	SUB  $1, R8
	CBNZ R8, taps

	VFMLA V29.S4, V6.S4, V0.S4
	VFMLA V29.S4, V7.S4, V1.S4
	VFMLA V29.S4, V8.S4, V2.S4
	VFMLA V29.S4, V9.S4, V3.S4
	VFMLA V29.S4, V10.S4, V4.S4
	VFMLA V29.S4, V11.S4, V5.S4
	VST1.P [V0.S4, V1.S4, V2.S4, V3.S4], 64(R1)
	VST1.P [V4.S4, V5.S4], 32(R1)
	SUB  $1, R7
	CBNZ R7, point
	RET

// func down8(a *downArgs)
//
// Sixteen registers of a row are summed at a time, then what is left two by two.
TEXT ·down8(SB), NOSPLIT, $0-8
	MOVD a+0(FP), R0
	MOVD downArgs_dst(R0), R1
	MOVD downArgs_src(R0), R2
	MOVD downArgs_at(R0), R3
	MOVD downArgs_weight(R0), R4
	MOVD downArgs_rows(R0), R5
	MOVD downArgs_wide(R0), R6
	MOVD downArgs_rest(R0), R7
	CBZ  R6, single

eight:
	CLEAR(V0)
	CLEAR(V1)
	CLEAR(V2)
	CLEAR(V3)
	CLEAR(V4)
	CLEAR(V5)
	CLEAR(V6)
	CLEAR(V7)
	CLEAR(V8)
	CLEAR(V9)
	CLEAR(V10)
	CLEAR(V11)
	CLEAR(V12)
	CLEAR(V13)
	CLEAR(V14)
	CLEAR(V15)
	MOVD R3, R9
	MOVD R4, R10
	MOVD R5, R11

eightRow:
	MOVD.P 8(R9), R12
	VLD1R.P 4(R10), [V28.S4]
	ADD  R12<<2, R2, R12
	VLD1.P 64(R12), [V16.S4, V17.S4, V18.S4, V19.S4]
	VLD1.P 64(R12), [V20.S4, V21.S4, V22.S4, V23.S4]
	VFMLA V28.S4, V16.S4, V0.S4
	VFMLA V28.S4, V17.S4, V1.S4
	VFMLA V28.S4, V18.S4, V2.S4
	VFMLA V28.S4, V19.S4, V3.S4
	VFMLA V28.S4, V20.S4, V4.S4
	VFMLA V28.S4, V21.S4, V5.S4
	VFMLA V28.S4, V22.S4, V6.S4
	VFMLA V28.S4, V23.S4, V7.S4
	VLD1.P 64(R12), [V16.S4, V17.S4, V18.S4, V19.S4]
	VLD1 (R12), [V20.S4, V21.S4, V22.S4, V23.S4]
	VFMLA V28.S4, V16.S4, V8.S4
	VFMLA V28.S4, V17.S4, V9.S4
	VFMLA V28.S4, V18.S4, V10.S4
	VFMLA V28.S4, V19.S4, V11.S4
	VFMLA V28.S4, V20.S4, V12.S4
	VFMLA V28.S4, V21.S4, V13.S4
	VFMLA V28.S4, V22.S4, V14.S4
	VFMLA V28.S4, V23.S4, V15.S4
	SUB  $1, R11
	CBNZ R11, eightRow

	VST1.P [V0.S4, V1.S4, V2.S4, V3.S4], 64(R1)
	VST1.P [V4.S4, V5.S4, V6.S4, V7.S4], 64(R1)
	VST1.P [V8.S4, V9.S4, V10.S4, V11.S4], 64(R1)
	VST1.P [V12.S4, V13.S4, V14.S4, V15.S4], 64(R1)
	ADD  $256, R2
	SUB  $1, R6
	CBNZ R6, eight

single:
	CBZ  R7, done

one:
	CLEAR(V0)
	CLEAR(V1)
	MOVD R3, R9
	MOVD R4, R10
	MOVD R5, R11

oneRow:
	MOVD.P 8(R9), R12
	VLD1R.P 4(R10), [V28.S4]
	ADD  R12<<2, R2, R12
	VLD1 (R12), [V16.S4, V17.S4]
	VFMLA V28.S4, V16.S4, V0.S4
	VFMLA V28.S4, V17.S4, V1.S4
	SUB  $1, R11
	CBNZ R11, oneRow

	VST1.P [V0.S4, V1.S4], 32(R1)
	ADD  $32, R2
	SUB  $1, R7
	CBNZ R7, one

done:
	RET
