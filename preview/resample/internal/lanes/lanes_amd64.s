//go:build !purego

#include "go_asm.h"
#include "textflag.h"

// The kernels of path_amd64.go.

// QUARTERS makes of four rows of eight, whose lower halves are those of the rows 0
// to 3 and whose upper ones those of 4 to 7, four columns of eight.
#define QUARTERS(a, b, c, d, s, t) \
	VUNPCKLPS b, a, s      \
	VUNPCKHPS b, a, t      \
	VUNPCKLPS d, c, a      \
	VUNPCKHPS d, c, b      \
	VSHUFPS $0x44, a, s, c \
	VSHUFPS $0xEE, a, s, d \
	VSHUFPS $0x44, b, t, s \
	VSHUFPS $0xEE, b, t, t

// func transpose8(a *transposeArgs)
//
// R8..R11 are the rows 0, 1, 2, 3; four rows further down is R12 away.
TEXT ·transpose8(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), AX
	MOVQ transposeArgs_dst(AX), DI
	MOVQ transposeArgs_src(AX), SI
	MOVQ transposeArgs_srcRow(AX), R13
	MOVQ transposeArgs_dstRow(AX), BX
	MOVQ transposeArgs_blocks(AX), CX
	LEAQ (R13*4), R12
	LEAQ (BX)(BX*2), DX

block:
	MOVQ SI, R8
	LEAQ (SI)(R13*1), R9
	LEAQ (SI)(R13*2), R10
	LEAQ (R9)(R13*2), R11
	VMOVUPS (R8), X0
	VMOVUPS (R9), X1
	VMOVUPS (R10), X2
	VMOVUPS (R11), X3
	VMOVUPS 16(R8), X4
	VMOVUPS 16(R9), X5
	VMOVUPS 16(R10), X6
	VMOVUPS 16(R11), X7
	VINSERTF128 $1, (R8)(R12*1), Y0, Y0
	VINSERTF128 $1, (R9)(R12*1), Y1, Y1
	VINSERTF128 $1, (R10)(R12*1), Y2, Y2
	VINSERTF128 $1, (R11)(R12*1), Y3, Y3
	VINSERTF128 $1, 16(R8)(R12*1), Y4, Y4
	VINSERTF128 $1, 16(R9)(R12*1), Y5, Y5
	VINSERTF128 $1, 16(R10)(R12*1), Y6, Y6
	VINSERTF128 $1, 16(R11)(R12*1), Y7, Y7
	QUARTERS(Y0, Y1, Y2, Y3, Y8, Y9)
	QUARTERS(Y4, Y5, Y6, Y7, Y10, Y11)
	LEAQ (DI)(BX*4), R9
	VMOVUPS Y2, (DI)
	VMOVUPS Y3, (DI)(BX*1)
	VMOVUPS Y8, (DI)(BX*2)
	VMOVUPS Y9, (DI)(DX*1)
	VMOVUPS Y6, (R9)
	VMOVUPS Y7, (R9)(BX*1)
	VMOVUPS Y10, (R9)(BX*2)
	VMOVUPS Y11, (R9)(DX*1)
	ADDQ transposeArgs_srcStep(AX), SI
	ADDQ transposeArgs_dstStep(AX), DI
	DECQ CX
	JNZ  block
	VZEROUPPER
	RET

// func across8(a *acrossArgs)
//
// The sums of a pixel's three channels over taps of even number are in Y0..Y2, those
// of odd number in Y3..Y5.
TEXT ·across8(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), AX
	MOVQ acrossArgs_dst(AX), DI
	MOVQ acrossArgs_first(AX), R8
	MOVQ acrossArgs_weight(AX), BX
	MOVQ acrossArgs_n(AX), R9
	MOVQ acrossArgs_origin(AX), R10
	MOVQ acrossArgs_pairs(AX), R11
	MOVQ acrossArgs_src(AX), R12

point:
	MOVLQSX (R8), SI
	SUBQ R10, SI
	LEAQ (SI)(SI*2), SI
	SHLQ $5, SI
	ADDQ R12, SI
	VXORPS Y0, Y0, Y0
	VXORPS Y1, Y1, Y1
	VXORPS Y2, Y2, Y2
	VXORPS Y3, Y3, Y3
	VXORPS Y4, Y4, Y4
	VXORPS Y5, Y5, Y5
	MOVQ R11, CX

taps:
	VBROADCASTSS (BX), Y6
	VBROADCASTSS 4(BX), Y7
	VFMADD231PS (SI), Y6, Y0
	VFMADD231PS 32(SI), Y6, Y1
	VFMADD231PS 64(SI), Y6, Y2
	VFMADD231PS 96(SI), Y7, Y3
	VFMADD231PS 128(SI), Y7, Y4
	VFMADD231PS 160(SI), Y7, Y5
	ADDQ $8, BX
	ADDQ $192, SI
	DECQ CX
	JNZ  taps

	VADDPS Y3, Y0, Y0
	VADDPS Y4, Y1, Y1
	VADDPS Y5, Y2, Y2
	VMOVUPS Y0, (DI)
	VMOVUPS Y1, 32(DI)
	VMOVUPS Y2, 64(DI)
	ADDQ $96, DI
	ADDQ $4, R8
	DECQ R9
	JNZ  point
	VZEROUPPER
	RET

// func down8(a *downArgs)
//
// Eight vectors of a row are summed at a time, then what is left one by one.
TEXT ·down8(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), AX
	MOVQ downArgs_dst(AX), DI
	MOVQ downArgs_src(AX), SI
	MOVQ downArgs_at(AX), R8
	MOVQ downArgs_weight(AX), R9
	MOVQ downArgs_rows(AX), R10
	MOVQ downArgs_wide(AX), R11
	TESTQ R11, R11
	JZ   single

eight:
	VXORPS Y0, Y0, Y0
	VXORPS Y1, Y1, Y1
	VXORPS Y2, Y2, Y2
	VXORPS Y3, Y3, Y3
	VXORPS Y4, Y4, Y4
	VXORPS Y5, Y5, Y5
	VXORPS Y6, Y6, Y6
	VXORPS Y7, Y7, Y7
	XORQ CX, CX

eightRow:
	MOVQ (R8)(CX*8), BX
	VBROADCASTSS (R9)(CX*4), Y8
	LEAQ (SI)(BX*4), BX
	VFMADD231PS (BX), Y8, Y0
	VFMADD231PS 32(BX), Y8, Y1
	VFMADD231PS 64(BX), Y8, Y2
	VFMADD231PS 96(BX), Y8, Y3
	VFMADD231PS 128(BX), Y8, Y4
	VFMADD231PS 160(BX), Y8, Y5
	VFMADD231PS 192(BX), Y8, Y6
	VFMADD231PS 224(BX), Y8, Y7
	INCQ CX
	CMPQ CX, R10
	JLT  eightRow

	VMOVUPS Y0, (DI)
	VMOVUPS Y1, 32(DI)
	VMOVUPS Y2, 64(DI)
	VMOVUPS Y3, 96(DI)
	VMOVUPS Y4, 128(DI)
	VMOVUPS Y5, 160(DI)
	VMOVUPS Y6, 192(DI)
	VMOVUPS Y7, 224(DI)
	ADDQ $256, DI
	ADDQ $256, SI
	DECQ R11
	JNZ  eight

single:
	MOVQ downArgs_rest(AX), R11
	TESTQ R11, R11
	JZ   done

one:
	VXORPS Y0, Y0, Y0
	XORQ CX, CX

oneRow:
	MOVQ (R8)(CX*8), BX
	VBROADCASTSS (R9)(CX*4), Y8
	VFMADD231PS (SI)(BX*4), Y8, Y0
	INCQ CX
	CMPQ CX, R10
	JLT  oneRow

	VMOVUPS Y0, (DI)
	ADDQ $32, DI
	ADDQ $32, SI
	DECQ R11
	JNZ  one

done:
	VZEROUPPER
	RET

#define CONSTANT(bits, x, y) \
	MOVL $bits, BX \
	VMOVD BX, x    \
	VPBROADCASTD x, y

// func curve8(a *curveArgs)
//
// Of two operands, one of which is no number, VMAXPS returns the one that stands
// first here: 0.
TEXT ·curve8(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), AX
	MOVQ curveArgs_dst(AX), DI
	MOVQ curveArgs_src(AX), SI
	MOVQ curveArgs_base(AX), R8
	MOVQ curveArgs_slope(AX), R9
	MOVQ curveArgs_vectors(AX), CX
	VXORPS Y15, Y15, Y15
	CONSTANT(0x3F800000, X14, Y14) // 1
	CONSTANT(0x37800000, X13, Y13) // Bias
	CONSTANT(const_firstPiece, X12, Y12)
	CONSTANT(0xFFFF, X11, Y11)

curve:
	VMOVUPS (SI), Y0
	VMAXPS Y15, Y0, Y0
	VMINPS Y14, Y0, Y0
	VADDPS Y13, Y0, Y0
	VPSRLD $const_pieceBits, Y0, Y1
	VPSUBD Y12, Y1, Y1
	VPAND Y11, Y0, Y0
	VCVTDQ2PS Y0, Y0
	VPCMPEQD Y2, Y2, Y2
	VPCMPEQD Y3, Y3, Y3
	VGATHERDPS Y2, (R8)(Y1*4), Y4
	VGATHERDPS Y3, (R9)(Y1*4), Y5
	VFMADD231PS Y5, Y0, Y4
	VMOVUPS Y4, (DI)
	ADDQ $32, SI
	ADDQ $32, DI
	DECQ CX
	JNZ  curve
	VZEROUPPER
	RET

// func quantise8(a *quantiseArgs)
TEXT ·quantise8(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), AX
	MOVQ quantiseArgs_dst(AX), DI
	MOVQ quantiseArgs_src(AX), SI
	MOVQ quantiseArgs_vectors(AX), CX
	VXORPS Y15, Y15, Y15
	CONSTANT(0x437F0000, X14, Y14) // 255

codes:
	VMULPS (SI), Y14, Y0
	VMAXPS Y15, Y0, Y0
	VMINPS Y14, Y0, Y0
	VCVTPS2DQ Y0, Y0
	VEXTRACTI128 $1, Y0, X1
	VPACKSSDW X1, X0, X0
	VPACKUSWB X0, X0, X0
	VMOVQ X0, (DI)
	ADDQ $32, SI
	ADDQ $8, DI
	DECQ CX
	JNZ  codes
	VZEROUPPER
	RET
