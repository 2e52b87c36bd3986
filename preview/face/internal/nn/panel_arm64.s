//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_arm64.h"

// The kernels of panel_vector.go. Six pixels are at R4..R9, their sums in V0..V23:
// four registers for a pixel, in panel8 the first two of them. R10 is where the
// weights are.

#define PIXEL(n, r) \
	MOVD (8*n)(R1), r \
	ADD  r<<2, R3, r

#define PIXELS \
	MOVD panelArgs_at(R0), R1 \
	MOVD panelArgs_atDone(R0), R2 \
	MOVD panelArgs_in(R0), R3 \
	ADD  R2, R1, R1 \
	ADD  $(8*const_tile), R2, R2 \
	MOVD R2, panelArgs_atDone(R0) \
	PIXEL(0, R4) \
	PIXEL(1, R5) \
	PIXEL(2, R6) \
	PIXEL(3, R7) \
	PIXEL(4, R8) \
	PIXEL(5, R9) \
	MOVD panelArgs_panel(R0), R10 \
	MOVD panelArgs_rows(R0), R11 \
	MOVD panelArgs_skip(R0), R13

#define NEXTROW \
	ADD R13, R4 \
	ADD R13, R5 \
	ADD R13, R6 \
	ADD R13, R7 \
	ADD R13, R8 \
	ADD R13, R9

// TAP4 adds a value of a pixel times 16 weights, TAP2 times 8.
#define TAP4(r, t, a, b, c, d) \
	VLD1R.P 4(r), [t.S4] \
	VFMLA t.S4, V24.S4, a.S4 \
	VFMLA t.S4, V25.S4, b.S4 \
	VFMLA t.S4, V26.S4, c.S4 \
	VFMLA t.S4, V27.S4, d.S4

#define TAP2(r, t, a, b) \
	VLD1R.P 4(r), [t.S4] \
	VFMLA t.S4, V24.S4, a.S4 \
	VFMLA t.S4, V25.S4, b.S4

// SLOPE is max(v, 0) + slope * min(v, 0), with zeros in V28; n is the number of v.
#define SLOPE(n, v, slope) \
	FMIN4S(29, n, 28) \
	FMAX4S(n, n, 28) \
	VFMLA V29.S4, slope.S4, v.S4

// func panel16(a *panelArgs)
TEXT ·panel16(SB), NOSPLIT, $0-8
	MOVD a+0(FP), R0

group:
	PIXELS
	VLD1 (R10), [V0.S4, V1.S4, V2.S4, V3.S4]
	VMOV V0.B16, V4.B16
	VMOV V1.B16, V5.B16
	VMOV V2.B16, V6.B16
	VMOV V3.B16, V7.B16
	VMOV V0.B16, V8.B16
	VMOV V1.B16, V9.B16
	VMOV V2.B16, V10.B16
	VMOV V3.B16, V11.B16
	VMOV V0.B16, V12.B16
	VMOV V1.B16, V13.B16
	VMOV V2.B16, V14.B16
	VMOV V3.B16, V15.B16
	VMOV V0.B16, V16.B16
	VMOV V1.B16, V17.B16
	VMOV V2.B16, V18.B16
	VMOV V3.B16, V19.B16
	VMOV V0.B16, V20.B16
	VMOV V1.B16, V21.B16
	VMOV V2.B16, V22.B16
	VMOV V3.B16, V23.B16
	ADD  $(4*const_head), R10

row:
	MOVD panelArgs_run(R0), R12

tap:
	VLD1.P 64(R10), [V24.S4, V25.S4, V26.S4, V27.S4]
	TAP4(R4, V28, V0, V1, V2, V3)
	TAP4(R5, V29, V4, V5, V6, V7)
	TAP4(R6, V30, V8, V9, V10, V11)
	TAP4(R7, V31, V12, V13, V14, V15)
	TAP4(R8, V28, V16, V17, V18, V19)
	TAP4(R9, V29, V20, V21, V22, V23)
	SUBS $1, R12
	BNE  tap

	NEXTROW
	SUBS $1, R11
	BNE  row

	MOVD panelArgs_add(R0), R1
	CBZ  R1, added
	MOVD panelArgs_addDone(R0), R2
	MOVD panelArgs_addStride(R0), R3
	ADD  R2, R1, R1
	VLD1.P (R1)(R3), [V24.S4, V25.S4, V26.S4, V27.S4]
	FADD4S(0, 0, 24)
	FADD4S(1, 1, 25)
	FADD4S(2, 2, 26)
	FADD4S(3, 3, 27)
	VLD1.P (R1)(R3), [V24.S4, V25.S4, V26.S4, V27.S4]
	FADD4S(4, 4, 24)
	FADD4S(5, 5, 25)
	FADD4S(6, 6, 26)
	FADD4S(7, 7, 27)
	VLD1.P (R1)(R3), [V24.S4, V25.S4, V26.S4, V27.S4]
	FADD4S(8, 8, 24)
	FADD4S(9, 9, 25)
	FADD4S(10, 10, 26)
	FADD4S(11, 11, 27)
	VLD1.P (R1)(R3), [V24.S4, V25.S4, V26.S4, V27.S4]
	FADD4S(12, 12, 24)
	FADD4S(13, 13, 25)
	FADD4S(14, 14, 26)
	FADD4S(15, 15, 27)
	VLD1.P (R1)(R3), [V24.S4, V25.S4, V26.S4, V27.S4]
	FADD4S(16, 16, 24)
	FADD4S(17, 17, 25)
	FADD4S(18, 18, 26)
	FADD4S(19, 19, 27)
	VLD1.P (R1)(R3), [V24.S4, V25.S4, V26.S4, V27.S4]
	FADD4S(20, 20, 24)
	FADD4S(21, 21, 25)
	FADD4S(22, 22, 26)
	FADD4S(23, 23, 27)
	MOVD panelArgs_add(R0), R2
	SUB  R2, R1, R1
	MOVD R1, panelArgs_addDone(R0)

added:
	MOVD panelArgs_act(R0), R2
	CMP  $const_None, R2
	BEQ  store
	VEOR V28.B16, V28.B16, V28.B16
	CMP  $const_PReLU, R2
	BEQ  slope
	FMAX4S(0, 0, 28)
	FMAX4S(1, 1, 28)
	FMAX4S(2, 2, 28)
	FMAX4S(3, 3, 28)
	FMAX4S(4, 4, 28)
	FMAX4S(5, 5, 28)
	FMAX4S(6, 6, 28)
	FMAX4S(7, 7, 28)
	FMAX4S(8, 8, 28)
	FMAX4S(9, 9, 28)
	FMAX4S(10, 10, 28)
	FMAX4S(11, 11, 28)
	FMAX4S(12, 12, 28)
	FMAX4S(13, 13, 28)
	FMAX4S(14, 14, 28)
	FMAX4S(15, 15, 28)
	FMAX4S(16, 16, 28)
	FMAX4S(17, 17, 28)
	FMAX4S(18, 18, 28)
	FMAX4S(19, 19, 28)
	FMAX4S(20, 20, 28)
	FMAX4S(21, 21, 28)
	FMAX4S(22, 22, 28)
	FMAX4S(23, 23, 28)
	CMP  $const_ReLU, R2
	BEQ  store
	SIXES(R3, V29)
	FMIN4S(0, 0, 29)
	FMIN4S(1, 1, 29)
	FMIN4S(2, 2, 29)
	FMIN4S(3, 3, 29)
	FMIN4S(4, 4, 29)
	FMIN4S(5, 5, 29)
	FMIN4S(6, 6, 29)
	FMIN4S(7, 7, 29)
	FMIN4S(8, 8, 29)
	FMIN4S(9, 9, 29)
	FMIN4S(10, 10, 29)
	FMIN4S(11, 11, 29)
	FMIN4S(12, 12, 29)
	FMIN4S(13, 13, 29)
	FMIN4S(14, 14, 29)
	FMIN4S(15, 15, 29)
	FMIN4S(16, 16, 29)
	FMIN4S(17, 17, 29)
	FMIN4S(18, 18, 29)
	FMIN4S(19, 19, 29)
	FMIN4S(20, 20, 29)
	FMIN4S(21, 21, 29)
	FMIN4S(22, 22, 29)
	FMIN4S(23, 23, 29)
	B    store

slope:
	MOVD panelArgs_panel(R0), R1
	ADD  $(4*const_width), R1
	VLD1 (R1), [V24.S4, V25.S4, V26.S4, V27.S4]
	SLOPE(0, V0, V24)
	SLOPE(1, V1, V25)
	SLOPE(2, V2, V26)
	SLOPE(3, V3, V27)
	SLOPE(4, V4, V24)
	SLOPE(5, V5, V25)
	SLOPE(6, V6, V26)
	SLOPE(7, V7, V27)
	SLOPE(8, V8, V24)
	SLOPE(9, V9, V25)
	SLOPE(10, V10, V26)
	SLOPE(11, V11, V27)
	SLOPE(12, V12, V24)
	SLOPE(13, V13, V25)
	SLOPE(14, V14, V26)
	SLOPE(15, V15, V27)
	SLOPE(16, V16, V24)
	SLOPE(17, V17, V25)
	SLOPE(18, V18, V26)
	SLOPE(19, V19, V27)
	SLOPE(20, V20, V24)
	SLOPE(21, V21, V25)
	SLOPE(22, V22, V26)
	SLOPE(23, V23, V27)

store:
	MOVD panelArgs_dst(R0), R1
	MOVD panelArgs_dstDone(R0), R2
	MOVD panelArgs_stride(R0), R3
	ADD  R2, R1, R1
	VST1.P [V0.S4, V1.S4, V2.S4, V3.S4], (R1)(R3)
	VST1.P [V4.S4, V5.S4, V6.S4, V7.S4], (R1)(R3)
	VST1.P [V8.S4, V9.S4, V10.S4, V11.S4], (R1)(R3)
	VST1.P [V12.S4, V13.S4, V14.S4, V15.S4], (R1)(R3)
	VST1.P [V16.S4, V17.S4, V18.S4, V19.S4], (R1)(R3)
	VST1.P [V20.S4, V21.S4, V22.S4, V23.S4], (R1)(R3)
	MOVD panelArgs_dst(R0), R2
	SUB  R2, R1, R1
	MOVD R1, panelArgs_dstDone(R0)
	MOVD panelArgs_groups(R0), R1
	SUBS $1, R1
	MOVD R1, panelArgs_groups(R0)
	BNE  group
	RET

// func panel8(a *panelArgs)
TEXT ·panel8(SB), NOSPLIT, $0-8
	MOVD a+0(FP), R0

group:
	PIXELS
	VLD1 (R10), [V0.S4, V1.S4]
	VMOV V0.B16, V4.B16
	VMOV V1.B16, V5.B16
	VMOV V0.B16, V8.B16
	VMOV V1.B16, V9.B16
	VMOV V0.B16, V12.B16
	VMOV V1.B16, V13.B16
	VMOV V0.B16, V16.B16
	VMOV V1.B16, V17.B16
	VMOV V0.B16, V20.B16
	VMOV V1.B16, V21.B16
	ADD  $(4*const_head), R10

row:
	MOVD panelArgs_run(R0), R12

tap:
	VLD1 (R10), [V24.S4, V25.S4]
	ADD  $(4*const_width), R10
	TAP2(R4, V28, V0, V1)
	TAP2(R5, V29, V4, V5)
	TAP2(R6, V30, V8, V9)
	TAP2(R7, V31, V12, V13)
	TAP2(R8, V28, V16, V17)
	TAP2(R9, V29, V20, V21)
	SUBS $1, R12
	BNE  tap

	NEXTROW
	SUBS $1, R11
	BNE  row

	MOVD panelArgs_add(R0), R1
	CBZ  R1, added
	MOVD panelArgs_addDone(R0), R2
	MOVD panelArgs_addStride(R0), R3
	ADD  R2, R1, R1
	VLD1.P (R1)(R3), [V24.S4, V25.S4]
	FADD4S(0, 0, 24)
	FADD4S(1, 1, 25)
	VLD1.P (R1)(R3), [V24.S4, V25.S4]
	FADD4S(4, 4, 24)
	FADD4S(5, 5, 25)
	VLD1.P (R1)(R3), [V24.S4, V25.S4]
	FADD4S(8, 8, 24)
	FADD4S(9, 9, 25)
	VLD1.P (R1)(R3), [V24.S4, V25.S4]
	FADD4S(12, 12, 24)
	FADD4S(13, 13, 25)
	VLD1.P (R1)(R3), [V24.S4, V25.S4]
	FADD4S(16, 16, 24)
	FADD4S(17, 17, 25)
	VLD1.P (R1)(R3), [V24.S4, V25.S4]
	FADD4S(20, 20, 24)
	FADD4S(21, 21, 25)
	MOVD panelArgs_add(R0), R2
	SUB  R2, R1, R1
	MOVD R1, panelArgs_addDone(R0)

added:
	MOVD panelArgs_act(R0), R2
	CMP  $const_None, R2
	BEQ  store
	VEOR V28.B16, V28.B16, V28.B16
	CMP  $const_PReLU, R2
	BEQ  slope
	FMAX4S(0, 0, 28)
	FMAX4S(1, 1, 28)
	FMAX4S(4, 4, 28)
	FMAX4S(5, 5, 28)
	FMAX4S(8, 8, 28)
	FMAX4S(9, 9, 28)
	FMAX4S(12, 12, 28)
	FMAX4S(13, 13, 28)
	FMAX4S(16, 16, 28)
	FMAX4S(17, 17, 28)
	FMAX4S(20, 20, 28)
	FMAX4S(21, 21, 28)
	CMP  $const_ReLU, R2
	BEQ  store
	SIXES(R3, V29)
	FMIN4S(0, 0, 29)
	FMIN4S(1, 1, 29)
	FMIN4S(4, 4, 29)
	FMIN4S(5, 5, 29)
	FMIN4S(8, 8, 29)
	FMIN4S(9, 9, 29)
	FMIN4S(12, 12, 29)
	FMIN4S(13, 13, 29)
	FMIN4S(16, 16, 29)
	FMIN4S(17, 17, 29)
	FMIN4S(20, 20, 29)
	FMIN4S(21, 21, 29)
	B    store

slope:
	MOVD panelArgs_panel(R0), R1
	ADD  $(4*const_width), R1
	VLD1 (R1), [V24.S4, V25.S4]
	SLOPE(0, V0, V24)
	SLOPE(1, V1, V25)
	SLOPE(4, V4, V24)
	SLOPE(5, V5, V25)
	SLOPE(8, V8, V24)
	SLOPE(9, V9, V25)
	SLOPE(12, V12, V24)
	SLOPE(13, V13, V25)
	SLOPE(16, V16, V24)
	SLOPE(17, V17, V25)
	SLOPE(20, V20, V24)
	SLOPE(21, V21, V25)

store:
	MOVD panelArgs_dst(R0), R1
	MOVD panelArgs_dstDone(R0), R2
	MOVD panelArgs_stride(R0), R3
	ADD  R2, R1, R1
	VST1.P [V0.S4, V1.S4], (R1)(R3)
	VST1.P [V4.S4, V5.S4], (R1)(R3)
	VST1.P [V8.S4, V9.S4], (R1)(R3)
	VST1.P [V12.S4, V13.S4], (R1)(R3)
	VST1.P [V16.S4, V17.S4], (R1)(R3)
	VST1.P [V20.S4, V21.S4], (R1)(R3)
	MOVD panelArgs_dst(R0), R2
	SUB  R2, R1, R1
	MOVD R1, panelArgs_dstDone(R0)
	MOVD panelArgs_groups(R0), R1
	SUBS $1, R1
	MOVD R1, panelArgs_groups(R0)
	BNE  group
	RET
