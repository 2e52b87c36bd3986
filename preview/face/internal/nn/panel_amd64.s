//go:build !purego

#include "go_asm.h"
#include "textflag.h"

// The kernels of panel_vector.go. Six pixels are at R8..R13, their sums in Y0..Y11:
// two registers for a pixel, in panel8 one. AX is how far the pixels have been
// read, BX where the weights are.

#define PIXEL(n, r) \
	MOVQ (8*n)(DI), r \
	LEAQ (AX)(r*4), r

#define PIXELS \
	MOVQ panelArgs_at(SI), DI \
	ADDQ panelArgs_atDone(SI), DI \
	MOVQ panelArgs_in(SI), AX \
	PIXEL(0, R8)  \
	PIXEL(1, R9)  \
	PIXEL(2, R10) \
	PIXEL(3, R11) \
	PIXEL(4, R12) \
	PIXEL(5, R13) \
	ADDQ $(8*const_tile), panelArgs_atDone(SI) \
	MOVQ panelArgs_panel(SI), BX \
	MOVQ panelArgs_rows(SI), DX \
	XORQ AX, AX

// TAP adds a value of a pixel times 16 weights.
#define TAP(r, t, a, b) \
	VBROADCASTSS (r)(AX*1), t \
	VFMADD231PS Y12, t, a \
	VFMADD231PS Y13, t, b

#define ADD2(a, b) \
	VADDPS (DI), a, a \
	VADDPS 32(DI), b, b \
	ADDQ AX, DI

#define STORE2(a, b) \
	VMOVUPS a, (DI) \
	VMOVUPS b, 32(DI) \
	ADDQ AX, DI

#define RELU(a) VMAXPS Y12, a, a
#define SIX(a) VMINPS Y13, a, a

// SLOPE is max(a, 0) + slope * min(a, 0), with zeros in Y14.
#define SLOPE(slope, a) \
	VMINPS Y14, a, Y15 \
	VMAXPS Y14, a, a \
	VFMADD231PS slope, Y15, a

// func panel16(a *panelArgs)
TEXT ·panel16(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), SI

group:
	PIXELS
	VMOVUPS (BX), Y0
	VMOVUPS 32(BX), Y1
	VMOVAPS Y0, Y2
	VMOVAPS Y1, Y3
	VMOVAPS Y0, Y4
	VMOVAPS Y1, Y5
	VMOVAPS Y0, Y6
	VMOVAPS Y1, Y7
	VMOVAPS Y0, Y8
	VMOVAPS Y1, Y9
	VMOVAPS Y0, Y10
	VMOVAPS Y1, Y11
	ADDQ $(4*const_head), BX

row:
	MOVQ panelArgs_run(SI), CX

tap:
	VMOVUPS (BX), Y12
	VMOVUPS 32(BX), Y13
	TAP(R8, Y14, Y0, Y1)
	TAP(R9, Y15, Y2, Y3)
	TAP(R10, Y14, Y4, Y5)
	TAP(R11, Y15, Y6, Y7)
	TAP(R12, Y14, Y8, Y9)
	TAP(R13, Y15, Y10, Y11)
	ADDQ $4, AX
	ADDQ $(4*const_width), BX
	DECQ CX
	JNZ tap

	ADDQ panelArgs_skip(SI), AX
	DECQ DX
	JNZ row

	MOVQ panelArgs_add(SI), DI
	TESTQ DI, DI
	JZ added
	ADDQ panelArgs_addDone(SI), DI
	MOVQ panelArgs_addStride(SI), AX
	ADD2(Y0, Y1)
	ADD2(Y2, Y3)
	ADD2(Y4, Y5)
	ADD2(Y6, Y7)
	ADD2(Y8, Y9)
	ADD2(Y10, Y11)
	SUBQ panelArgs_add(SI), DI
	MOVQ DI, panelArgs_addDone(SI)

added:
	MOVQ panelArgs_act(SI), AX
	CMPQ AX, $const_None
	JEQ  store
	CMPQ AX, $const_PReLU
	JEQ  slope
	VXORPS Y12, Y12, Y12
	RELU(Y0)
	RELU(Y1)
	RELU(Y2)
	RELU(Y3)
	RELU(Y4)
	RELU(Y5)
	RELU(Y6)
	RELU(Y7)
	RELU(Y8)
	RELU(Y9)
	RELU(Y10)
	RELU(Y11)
	CMPQ AX, $const_ReLU
	JEQ  store
	MOVL $0x40C00000, AX
	VMOVD AX, X13
	VBROADCASTSS X13, Y13
	SIX(Y0)
	SIX(Y1)
	SIX(Y2)
	SIX(Y3)
	SIX(Y4)
	SIX(Y5)
	SIX(Y6)
	SIX(Y7)
	SIX(Y8)
	SIX(Y9)
	SIX(Y10)
	SIX(Y11)
	JMP store

slope:
	MOVQ panelArgs_panel(SI), BX
	VMOVUPS (4*const_width)(BX), Y12
	VMOVUPS (4*const_width+32)(BX), Y13
	VXORPS Y14, Y14, Y14
	SLOPE(Y12, Y0)
	SLOPE(Y13, Y1)
	SLOPE(Y12, Y2)
	SLOPE(Y13, Y3)
	SLOPE(Y12, Y4)
	SLOPE(Y13, Y5)
	SLOPE(Y12, Y6)
	SLOPE(Y13, Y7)
	SLOPE(Y12, Y8)
	SLOPE(Y13, Y9)
	SLOPE(Y12, Y10)
	SLOPE(Y13, Y11)

store:
	MOVQ panelArgs_dst(SI), DI
	ADDQ panelArgs_dstDone(SI), DI
	MOVQ panelArgs_stride(SI), AX
	STORE2(Y0, Y1)
	STORE2(Y2, Y3)
	STORE2(Y4, Y5)
	STORE2(Y6, Y7)
	STORE2(Y8, Y9)
	STORE2(Y10, Y11)
	SUBQ panelArgs_dst(SI), DI
	MOVQ DI, panelArgs_dstDone(SI)
	DECQ panelArgs_groups(SI)
	JNZ  group
	VZEROUPPER
	RET

#define TAP1(r, t, a) \
	VBROADCASTSS (r)(AX*1), t \
	VFMADD231PS Y12, t, a

#define ADD1(a) \
	VADDPS (DI), a, a \
	ADDQ AX, DI

#define STORE1(a) \
	VMOVUPS a, (DI) \
	ADDQ AX, DI

// func panel8(a *panelArgs)
TEXT ·panel8(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), SI

group:
	PIXELS
	VMOVUPS (BX), Y0
	VMOVAPS Y0, Y2
	VMOVAPS Y0, Y4
	VMOVAPS Y0, Y6
	VMOVAPS Y0, Y8
	VMOVAPS Y0, Y10
	ADDQ $(4*const_head), BX

row:
	MOVQ panelArgs_run(SI), CX

tap:
	VMOVUPS (BX), Y12
	TAP1(R8, Y14, Y0)
	TAP1(R9, Y15, Y2)
	TAP1(R10, Y14, Y4)
	TAP1(R11, Y15, Y6)
	TAP1(R12, Y14, Y8)
	TAP1(R13, Y15, Y10)
	ADDQ $4, AX
	ADDQ $(4*const_width), BX
	DECQ CX
	JNZ tap

	ADDQ panelArgs_skip(SI), AX
	DECQ DX
	JNZ row

	MOVQ panelArgs_add(SI), DI
	TESTQ DI, DI
	JZ added
	ADDQ panelArgs_addDone(SI), DI
	MOVQ panelArgs_addStride(SI), AX
	ADD1(Y0)
	ADD1(Y2)
	ADD1(Y4)
	ADD1(Y6)
	ADD1(Y8)
	ADD1(Y10)
	SUBQ panelArgs_add(SI), DI
	MOVQ DI, panelArgs_addDone(SI)

added:
	MOVQ panelArgs_act(SI), AX
	CMPQ AX, $const_None
	JEQ  store
	CMPQ AX, $const_PReLU
	JEQ  slope
	VXORPS Y12, Y12, Y12
	RELU(Y0)
	RELU(Y2)
	RELU(Y4)
	RELU(Y6)
	RELU(Y8)
	RELU(Y10)
	CMPQ AX, $const_ReLU
	JEQ  store
	MOVL $0x40C00000, AX
	VMOVD AX, X13
	VBROADCASTSS X13, Y13
	SIX(Y0)
	SIX(Y2)
	SIX(Y4)
	SIX(Y6)
	SIX(Y8)
	SIX(Y10)
	JMP store

slope:
	MOVQ panelArgs_panel(SI), BX
	VMOVUPS (4*const_width)(BX), Y12
	VXORPS Y14, Y14, Y14
	SLOPE(Y12, Y0)
	SLOPE(Y12, Y2)
	SLOPE(Y12, Y4)
	SLOPE(Y12, Y6)
	SLOPE(Y12, Y8)
	SLOPE(Y12, Y10)

store:
	MOVQ panelArgs_dst(SI), DI
	ADDQ panelArgs_dstDone(SI), DI
	MOVQ panelArgs_stride(SI), AX
	STORE1(Y0)
	STORE1(Y2)
	STORE1(Y4)
	STORE1(Y6)
	STORE1(Y8)
	STORE1(Y10)
	SUBQ panelArgs_dst(SI), DI
	MOVQ DI, panelArgs_dstDone(SI)
	DECQ panelArgs_groups(SI)
	JNZ  group
	VZEROUPPER
	RET
