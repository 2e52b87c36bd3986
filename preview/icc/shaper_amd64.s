//go:build !purego

#include "textflag.h"

// func shapeAVX(dst *float32, src *uint16, n int, red, green, blue *light, columns *[4][4]float32)
//
// Each sample picks its light from a table, which is spread over a register and
// multiplied with its column of the matrix: three products, three sums, one store.
TEXT ·shapeAVX(SB), NOSPLIT, $0-56
	MOVQ dst+0(FP), DI
	MOVQ src+8(FP), SI
	MOVQ n+16(FP), CX
	MOVQ red+24(FP), R8
	MOVQ green+32(FP), R9
	MOVQ blue+40(FP), R10
	MOVQ columns+48(FP), DX
	VMOVUPS 0(DX), X12
	VMOVUPS 16(DX), X13
	VMOVUPS 32(DX), X14
	VMOVUPS 48(DX), X15

pixel:
	MOVWLZX 0(SI), AX
	MOVWLZX 2(SI), BX
	MOVWLZX 4(SI), R11
	VBROADCASTSS (R8)(AX*4), X0
	VBROADCASTSS (R9)(BX*4), X1
	VBROADCASTSS (R10)(R11*4), X2
	VMULPS X12, X0, X0
	VMULPS X13, X1, X1
	VMULPS X14, X2, X2
	VADDPS X1, X0, X0
	VADDPS X2, X0, X0
	VADDPS X15, X0, X0
	VMOVUPS X0, (DI)
	ADDQ $6, SI
	ADDQ $12, DI
	DECQ CX
	JNZ  pixel
	VZEROUPPER
	RET
