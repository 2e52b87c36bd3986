//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_arm64.h"

// The kernels of places_vector.go. R8 is where the window of a place begins, R9 where
// its result goes, R12 the size of a place, R13 how far the channels are; V0 and V1
// are the sum. V26 and V27 have the bias, V28 and V29 the slopes, V30 zeros, V31 six.

// PLACE adds a place times weights and goes on to the next one.
#define PLACE(v, w) \
	VLD1.P (R10)(R12), [V2.S4, V3.S4] \
	VFMLA V2.S4, v.S4, V0.S4 \
	VFMLA V3.S4, w.S4, V1.S4

// ACTIVATE does what R2 says.
#define ACTIVATE(slope, done) \
	CMP $const_None, R2 \
	BEQ done \
	FMIN4S(2, 0, 30) \
	FMIN4S(3, 1, 30) \
	FMAX4S(0, 0, 30) \
	FMAX4S(1, 1, 30) \
	CMP $const_ReLU, R2 \
	BEQ done \
	CMP $const_PReLU, R2 \
	BEQ slope \
	FMIN4S(0, 0, 31) \
	FMIN4S(1, 1, 31) \
	B   done

#define SLOPES \
	VFMLA V2.S4, V28.S4, V0.S4 \
	VFMLA V3.S4, V29.S4, V1.S4

// func depthwise8(a *placesArgs)
TEXT ·depthwise8(SB), NOSPLIT, $0-8
	MOVD a+0(FP), R0
	MOVD placesArgs_colStep(R0), R12
	MOVD placesArgs_done(R0), R13
	MOVD placesArgs_blocks(R0), R14
	MOVD placesArgs_rowStep(R0), R15
	MOVD placesArgs_weightStep(R0), R16
	MOVD placesArgs_advance(R0), R17
	MOVD placesArgs_act(R0), R2
	VEOR V30.B16, V30.B16, V30.B16
	SIXES(R3, V31)

block:
	MOVD placesArgs_src(R0), R8
	MOVD placesArgs_dst(R0), R9
	MOVD placesArgs_weights(R0), R1
	MOVD placesArgs_bias(R0), R3
	MOVD placesArgs_slope(R0), R4
	ADD  R13, R8
	ADD  R13, R9
	ADD  R13, R1
	ADD  R13, R3
	ADD  R13, R4
	VLD1 (R3), [V26.S4, V27.S4]
	VLD1 (R4), [V28.S4, V29.S4]
	MOVD placesArgs_pixels(R0), R7
	MOVD placesArgs_rows(R0), R5
	MOVD placesArgs_cols(R0), R6
	CMP  $3, R5
	BNE  pixel
	CMP  $3, R6
	BNE  pixel

	// Nine places' weights stay in V8..V25.
	MOVD R1, R11
	VLD1.P (R11)(R12), [V8.S4, V9.S4]
	VLD1.P (R11)(R12), [V10.S4, V11.S4]
	VLD1 (R11), [V12.S4, V13.S4]
	ADD  R16, R1, R11
	VLD1.P (R11)(R12), [V14.S4, V15.S4]
	VLD1.P (R11)(R12), [V16.S4, V17.S4]
	VLD1 (R11), [V18.S4, V19.S4]
	ADD  R16<<1, R1, R11
	VLD1.P (R11)(R12), [V20.S4, V21.S4]
	VLD1.P (R11)(R12), [V22.S4, V23.S4]
	VLD1 (R11), [V24.S4, V25.S4]

nine:
	VMOV V26.B16, V0.B16
	VMOV V27.B16, V1.B16
	MOVD R8, R10
	PLACE(V8, V9)
	PLACE(V10, V11)
	PLACE(V12, V13)
	ADD  R15, R8, R10
	PLACE(V14, V15)
	PLACE(V16, V17)
	PLACE(V18, V19)
	ADD  R15<<1, R8, R10
	PLACE(V20, V21)
	PLACE(V22, V23)
	PLACE(V24, V25)
	ACTIVATE(nineSlope, nineDone)

nineSlope:
	SLOPES

nineDone:
	VST1 [V0.S4, V1.S4], (R9)
	ADD  R17, R8
	ADD  R12, R9
	SUBS $1, R7
	BNE  nine
	B    next

pixel:
	VMOV V26.B16, V0.B16
	VMOV V27.B16, V1.B16
	MOVD R8, R3
	MOVD R1, R4
	MOVD placesArgs_rows(R0), R5

row:
	MOVD R3, R10
	MOVD R4, R11
	MOVD placesArgs_cols(R0), R6

tap:
	VLD1.P (R11)(R12), [V4.S4, V5.S4]
	PLACE(V4, V5)
	SUBS $1, R6
	BNE  tap
	ADD  R15, R3
	ADD  R16, R4
	SUBS $1, R5
	BNE  row
	ACTIVATE(slope, done)

slope:
	SLOPES

done:
	VST1 [V0.S4, V1.S4], (R9)
	ADD  R17, R8
	ADD  R12, R9
	SUBS $1, R7
	BNE  pixel

next:
	ADD  $(4*const_lanes), R13
	SUBS $1, R14
	BNE  block
	RET

// func max8(a *placesArgs)
TEXT ·max8(SB), NOSPLIT, $0-8
	MOVD a+0(FP), R0
	MOVD placesArgs_colStep(R0), R12
	MOVD placesArgs_done(R0), R13
	MOVD placesArgs_blocks(R0), R14
	MOVD placesArgs_rowStep(R0), R15
	MOVD placesArgs_advance(R0), R17

block:
	MOVD placesArgs_src(R0), R8
	MOVD placesArgs_dst(R0), R9
	ADD  R13, R8
	ADD  R13, R9
	MOVD placesArgs_pixels(R0), R7

pixel:
	VLD1 (R8), [V0.S4, V1.S4]
	MOVD R8, R3
	MOVD placesArgs_rows(R0), R5

row:
	MOVD R3, R10
	MOVD placesArgs_cols(R0), R6

tap:
	VLD1.P (R10)(R12), [V2.S4, V3.S4]
	FMAX4S(0, 0, 2)
	FMAX4S(1, 1, 3)
	SUBS $1, R6
	BNE  tap
	ADD  R15, R3
	SUBS $1, R5
	BNE  row

	VST1 [V0.S4, V1.S4], (R9)
	ADD  R17, R8
	ADD  R12, R9
	SUBS $1, R7
	BNE  pixel
	ADD  $(4*const_lanes), R13
	SUBS $1, R14
	BNE  block
	RET
