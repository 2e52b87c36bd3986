//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_amd64.h"

// The half-size inverse of inverse4.go for two blocks at once, one in each
// 128-bit lane, and with words in pairs (x0,any), (x2,x6), (x1,x7), (x3,x5).

PAIR(whole, 1<<const_halfBits, 0)
PAIR(y26, const_half2, -const_half6)
PAIR(outer17, const_half1p, -const_half7p)
PAIR(outer35, const_half3p, -const_half5p)
PAIR(inner17, const_half1q, -const_half7q)
PAIR(inner35, -const_half3q, const_half5q)

EACH(halfUp, const_halfRound1)
EIGHT(halfUpBias, (const_halfRound1<<32)|(const_halfRound1+(const_bias<<const_halfShift1)), TWICE(const_halfRound1))

// Words 0 4 2 6 1 7 3 5 of a row.
EIGHT(pairWords, 0x0D0C050409080100, 0x0B0A07060F0E0302)

#define ADD(r, p0) VPADDD r<>(SB), p0, p0

#define MUL(p0, p26) \
	VPMADDWD whole<>(SB), p0, p0 \
	VPMADDWD y26<>(SB), p26, p26

// LINES makes outputs 0..3 in p26, p35, p0, u out of the products in p0 and p26
// and the pairs in p17 and p35; t is lost.
#define LINES(p0, p26, p17, p35, t, u, shift) \
	VPMADDWD outer17<>(SB), p17, t \
	VPMADDWD outer35<>(SB), p35, u \
	VPADDD u, t, t \
	VPMADDWD inner17<>(SB), p17, p17 \
	VPMADDWD inner35<>(SB), p35, p35 \
	VPADDD p35, p17, p17 \
	SUMDIFF(p0, p26, u) \
	VPADDD t, u, p26 \
	VPSUBD t, u, u \
	SUMDIFF(p0, p17, p35) \
	VPSRAD $shift, p26, p26 \
	VPSRAD $shift, p35, p35 \
	VPSRAD $shift, p0, p0 \
	VPSRAD $shift, u, u

// func inverse4AVX2(dst *byte, stride int, coef *Block, n int, q *Table)
TEXT ·inverse4AVX2(SB), NOSPLIT, $0-40
	MOVQ dst+0(FP), DI
	MOVQ stride+8(FP), R8
	MOVQ coef+16(FP), SI
	MOVQ n+24(FP), CX
	MOVQ q+32(FP), BX
	LEAQ (R8)(R8*2), R9

next:
	LEAQ    128(SI), DX
	CMPQ    CX, $2
	CMOVQLT SI, DX

	ROW(0, X0, Y0)
	ROW(1, X1, Y1)
	ROW(2, X2, Y2)
	ROW(3, X3, Y3)
	ROW(5, X5, Y5)
	ROW(6, X6, Y6)
	ROW(7, X7, Y7)

	// Nothing but a mean?
	VPSRLDQ $2, Y0, Y8
	VPOR    Y1, Y2, Y9
	VPOR    Y3, Y5, Y10
	VPOR    Y6, Y7, Y11
	VPOR    Y8, Y9, Y9
	VPOR    Y10, Y11, Y11
	VPOR    Y9, Y11, Y11
	VPTEST  Y11, Y11
	JZ      mean

	STEP(0, Y0, Y8)
	STEP(1, Y1, Y9)
	STEP(2, Y2, Y10)
	STEP(3, Y3, Y11)
	STEP(5, Y5, Y13)
	STEP(6, Y6, Y14)
	STEP(7, Y7, Y15)

	VPUNPCKHWD Y0, Y0, Y8
	VPUNPCKLWD Y0, Y0, Y0
	VPUNPCKHWD Y6, Y2, Y9
	VPUNPCKLWD Y6, Y2, Y2
	VPUNPCKHWD Y7, Y1, Y10
	VPUNPCKLWD Y7, Y1, Y1
	VPUNPCKHWD Y5, Y3, Y11
	VPUNPCKLWD Y5, Y3, Y3

	MUL(Y0, Y2)
	ADD(halfUpBias, Y0)
	LINES(Y0, Y2, Y1, Y3, Y4, Y5, const_halfShift1)
	MUL(Y8, Y9)
	ADD(halfUp, Y8)
	LINES(Y8, Y9, Y10, Y11, Y6, Y7, const_halfShift1)

	VPACKSSDW   Y9, Y2, Y12
	VPACKSSDW   Y11, Y3, Y13
	VPACKSSDW   Y8, Y0, Y14
	VPACKSSDW   Y7, Y5, Y15
	VMOVDQU     pairWords<>(SB), Y4
	VPSHUFB     Y4, Y12, Y12
	VPSHUFB     Y4, Y13, Y13
	VPSHUFB     Y4, Y14, Y14
	VPSHUFB     Y4, Y15, Y15
	VPUNPCKLDQ  Y13, Y12, Y4
	VPUNPCKHDQ  Y13, Y12, Y5
	VPUNPCKLDQ  Y15, Y14, Y6
	VPUNPCKHDQ  Y15, Y14, Y7
	VPUNPCKLQDQ Y6, Y4, Y0
	VPUNPCKHQDQ Y6, Y4, Y2
	VPUNPCKLQDQ Y7, Y5, Y1
	VPUNPCKHQDQ Y7, Y5, Y3

	MUL(Y0, Y2)
	LINES(Y0, Y2, Y1, Y3, Y4, Y5, const_halfShift2)

	VPACKSSDW Y3, Y2, Y2
	VPACKSSDW Y5, Y0, Y0
	VPACKSSWB Y0, Y2, Y0
	VPSHUFB   turnBytes<>(SB), Y0, Y0
	VPXOR     levelShift<>(SB), Y0, Y0
	CMPQ      CX, $2
	JLT       one

	VEXTRACTI128 $1, Y0, X1
	VPUNPCKLDQ   X1, X0, X2
	VPUNPCKHDQ   X1, X0, X3
	VMOVQ        X2, (DI)
	VPEXTRQ      $1, X2, (DI)(R8*1)
	VMOVQ        X3, (DI)(R8*2)
	VPEXTRQ      $1, X3, (DI)(R9*1)

stored:
	ADDQ $256, SI
	ADDQ $8, DI
	SUBQ $2, CX
	JNZ  next
	VZEROUPPER
	RET

one:
	VMOVD   X0, (DI)
	VPEXTRD $1, X0, (DI)(R8*1)
	VPEXTRD $2, X0, (DI)(R8*2)
	VPEXTRD $3, X0, (DI)(R9*1)
	VZEROUPPER
	RET

mean:
	MEAN
	CMPQ CX, $2
	JLT  onemean
	VEXTRACTI128 $1, Y0, X1
	VPUNPCKLDQ   X1, X0, X0
	VMOVQ X0, (DI)
	VMOVQ X0, (DI)(R8*1)
	VMOVQ X0, (DI)(R8*2)
	VMOVQ X0, (DI)(R9*1)
	JMP   stored

onemean:
	VMOVD X0, (DI)
	VMOVD X0, (DI)(R8*1)
	VMOVD X0, (DI)(R8*2)
	VMOVD X0, (DI)(R9*1)
	VZEROUPPER
	RET
