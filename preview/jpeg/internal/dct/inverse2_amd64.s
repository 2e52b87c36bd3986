//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_amd64.h"

// The quarter-size inverse of inverse2.go for two blocks at once, one in each
// 128-bit lane, and with words in pairs (x0,x0), (x1,x7), (x3,x5).

PAIR(whole, 1<<(const_quarterBits-1), 1<<(const_quarterBits-1))
PAIR(z17, const_quarter1, -const_quarter7)
PAIR(z35, -const_quarter3, const_quarter5)

// The second pass has (x0,x0) of both rows, then (x1,x7) of both.
EIGHT(whole17, TWICE(WORDS(1<<(const_quarterBits-1), 1<<(const_quarterBits-1))), TWICE(WORDS(const_quarter1, -const_quarter7)))

EACH(halfUp, const_quarterRound1)
EIGHT(halfUpBias, (const_quarterRound1<<32)|(const_quarterRound1+(const_bias<<const_quarterShift1)), TWICE(const_quarterRound1))

// Words 0 0 1 7 3 5 of a row, and two of no meaning.
EIGHT(pairWords, 0x0F0E030201000100, 0x0B0A07060B0A0706)

// LINES makes the upper row in p17 and the lower one in p0 out of pairs.
#define LINES(p0, p17, p35, round) \
	VPMADDWD whole<>(SB), p0, p0 \
	VPMADDWD z17<>(SB), p17, p17 \
	VPMADDWD z35<>(SB), p35, p35 \
	VPADDD round<>(SB), p0, p0 \
	VPADDD p17, p35, p35 \
	SUMDIFF(p0, p35, p17) \
	VPSRAD $const_quarterShift1, p0, p0 \
	VPSRAD $const_quarterShift1, p17, p17

// func inverse2AVX2(dst *byte, stride int, coef *Block, n int, q *Table)
TEXT ·inverse2AVX2(SB), NOSPLIT, $0-40
	MOVQ dst+0(FP), DI
	MOVQ stride+8(FP), R8
	MOVQ coef+16(FP), SI
	MOVQ n+24(FP), CX
	MOVQ q+32(FP), BX

next:
	LEAQ    128(SI), DX
	CMPQ    CX, $2
	CMOVQLT SI, DX

	ROW(0, X0, Y0)
	ROW(1, X1, Y1)
	ROW(3, X3, Y3)
	ROW(5, X5, Y5)
	ROW(7, X7, Y7)

	// Nothing but a mean?
	VPSRLDQ $2, Y0, Y8
	VPOR    Y1, Y3, Y9
	VPOR    Y5, Y7, Y10
	VPOR    Y8, Y9, Y9
	VPOR    Y9, Y10, Y10
	VPTEST  Y10, Y10
	JZ      mean

	STEP(0, Y0, Y8)
	STEP(1, Y1, Y9)
	STEP(3, Y3, Y11)
	STEP(5, Y5, Y13)
	STEP(7, Y7, Y15)
	VPUNPCKHWD Y0, Y0, Y8
	VPUNPCKLWD Y0, Y0, Y0
	VPUNPCKHWD Y7, Y1, Y9
	VPUNPCKLWD Y7, Y1, Y1
	VPUNPCKHWD Y5, Y3, Y10
	VPUNPCKLWD Y5, Y3, Y3
	LINES(Y0, Y1, Y3, halfUpBias)
	LINES(Y8, Y9, Y10, halfUp)

	VPACKSSDW   Y9, Y1, Y1
	VPACKSSDW   Y8, Y0, Y0
	VMOVDQU     pairWords<>(SB), Y4
	VPSHUFB     Y4, Y1, Y1
	VPSHUFB     Y4, Y0, Y0
	VPUNPCKLDQ  Y0, Y1, Y2
	VPUNPCKHDQ  Y0, Y1, Y3
	VPMADDWD    whole17<>(SB), Y2, Y2
	VPMADDWD    z35<>(SB), Y3, Y3
	VPUNPCKHQDQ Y2, Y2, Y4
	VPADDD      Y3, Y4, Y4
	SUMDIFF(Y2, Y4, Y1)
	VPUNPCKLDQ  Y2, Y1, Y0
	VPSRAD      $const_quarterShift2, Y0, Y0
	VPACKSSDW   Y0, Y0, Y0
	VPACKSSWB   Y0, Y0, Y0
	VPXOR       levelShift<>(SB), Y0, Y0

store: // two bytes of the upper row and two of the lower in each lane
	CMPQ         CX, $2
	JLT          one
	VEXTRACTI128 $1, Y0, X1
	VPUNPCKLWD   X1, X0, X0
	VMOVD        X0, (DI)
	VPEXTRD      $1, X0, (DI)(R8*1)
	ADDQ         $256, SI
	ADDQ         $4, DI
	SUBQ         $2, CX
	JNZ          next
	VZEROUPPER
	RET

one:
	VPEXTRW $0, X0, (DI)
	VPEXTRW $1, X0, (DI)(R8*1)
	VZEROUPPER
	RET

mean:
	MEAN
	JMP store
