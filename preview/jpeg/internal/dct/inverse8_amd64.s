//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_amd64.h"

// The full-size inverse of inverse8.go for two blocks at once, one in each
// 128-bit lane. A dimension is a multiplication of pairs of words by pairs of
// factors: (x0,x4) and (x2,x6) give the even part, (x1,x5) and (x3,x7) the odd.

PAIR(s04, const_unit, const_unit)
PAIR(d04, const_unit, -const_unit)
PAIR(u26, const_evenU2, const_evenU6)
PAIR(v26, const_evenV2, const_evenV6)
PAIR(o0p15, const_odd01, const_odd05)
PAIR(o0p37, const_odd03, const_odd07)
PAIR(o1p15, const_odd11, const_odd15)
PAIR(o1p37, const_odd13, const_odd17)
PAIR(o2p15, const_odd21, const_odd25)
PAIR(o2p37, const_odd23, const_odd27)
PAIR(o3p15, const_odd31, const_odd35)
PAIR(o3p37, const_odd33, const_odd37)

// Where only the top left 4x4 are there: (x0,x2) and (x1,x3).
PAIR(e0p02, const_unit, const_evenU2)
PAIR(e1p02, const_unit, const_evenV2)
PAIR(e2p02, const_unit, -const_evenV2)
PAIR(e3p02, const_unit, -const_evenU2)
PAIR(o0p13, const_odd01, const_odd03)
PAIR(o1p13, const_odd11, const_odd13)
PAIR(o2p13, const_odd21, const_odd23)
PAIR(o3p13, const_odd31, const_odd33)

EACH(halfUp, const_round1)
EIGHT(halfUpBias, (const_round1<<32)|(const_round1+(const_bias<<const_shift1)), TWICE(const_round1))

// Words 0 4 2 6 1 5 3 7 of a row.
EIGHT(pairWords, 0x0D0C050409080100, 0x0F0E07060B0A0302)

// Words 0 2 1 3 of either half.
EIGHT(pairWords4, 0x0706030205040100, 0x0F0E0B0A0D0C0908)

// EVEN: pairs (0,4) in Y0 Y1 and (2,6) in Y2 Y3, lower half and upper half,
// become e0..e3 in Y10 Y2 Y9 Y8 and Y12 Y3 Y0 Y11. Y1 is free after it.
#define EVENLOWMUL \
	VPMADDWD s04<>(SB), Y0, Y8 \
	VPMADDWD u26<>(SB), Y2, Y9 \
	VPMADDWD d04<>(SB), Y0, Y13 \
	VPMADDWD v26<>(SB), Y2, Y0

#define EVENLOWSUM \
	SUMDIFF(Y8, Y9, Y10) \
	VPADDD Y0, Y13, Y2 \
	VPSUBD Y0, Y13, Y9

#define EVENHIGHMUL \
	VPMADDWD s04<>(SB), Y1, Y11 \
	VPMADDWD u26<>(SB), Y3, Y0 \
	VPMADDWD d04<>(SB), Y1, Y13 \
	VPMADDWD v26<>(SB), Y3, Y1

#define EVENHIGHSUM \
	SUMDIFF(Y11, Y0, Y12) \
	VPADDD Y1, Y13, Y3 \
	VPSUBD Y1, Y13, Y0

#define ROUNDLOW \
	VPADDD halfUpBias<>(SB), Y8, Y8 \
	VPADDD halfUpBias<>(SB), Y13, Y13

#define ROUNDHIGH \
	VPADDD halfUp<>(SB), Y11, Y11 \
	VPADDD halfUp<>(SB), Y13, Y13

// ODD multiplies pairs p15 and p37 to an odd value in o; t is lost.
#define ODD(k15, k37, p15, p37, o, t) \
	VPMADDWD k15<>(SB), p15, o \
	VPMADDWD k37<>(SB), p37, t \
	VPADDD t, o, o

// LINES makes rows n and 7-n of words out of e (lower and upper half) and the
// odd pairs: row n comes to eh, row 7-n to el.
#define LINES(k15, k37, el, eh) \
	ODD(k15, k37, Y4, Y6, Y13, Y14) \
	ODD(k15, k37, Y5, Y7, Y14, Y15) \
	SUMDIFF(el, Y13, Y15) \
	SUMDIFF(eh, Y14, Y1) \
	VPSRAD $const_shift1, el, el \
	VPSRAD $const_shift1, eh, eh \
	VPSRAD $const_shift1, Y15, Y15 \
	VPSRAD $const_shift1, Y1, Y1 \
	VPACKSSDW eh, el, el \
	VPACKSSDW Y1, Y15, eh

// COLUMNS makes columns n (to sum) and 7-n (to e) of double words.
#define COLUMNS(k15, k37, p15, p37, e, sum, t) \
	ODD(k15, k37, p15, p37, t, sum) \
	SUMDIFF(e, t, sum) \
	VPSRAD $const_shift2, e, e \
	VPSRAD $const_shift2, sum, sum

// EVENFEW, LINESFEW and LASTFEW are the same where x4..x7 are zero.
#define EVENFEW(p02, e0, e1, e2, e3) \
	VPMADDWD e0p02<>(SB), p02, e0 \
	VPMADDWD e1p02<>(SB), p02, e1 \
	VPMADDWD e2p02<>(SB), p02, e2 \
	VPMADDWD e3p02<>(SB), p02, e3

#define LINESFEW(k13, e, sum) \
	VPMADDWD k13<>(SB), Y4, Y0 \
	SUMDIFF(e, Y0, sum) \
	VPSRAD $const_shift1, e, e \
	VPSRAD $const_shift1, sum, sum

#define COLUMNSFEW(k13, p13, e, sum) \
	VPMADDWD k13<>(SB), p13, Y15 \
	SUMDIFF(e, Y15, sum) \
	VPSRAD $const_shift2, e, e \
	VPSRAD $const_shift2, sum, sum

#define LASTFEW(p13, e0, e1, e2, e3) \
	COLUMNSFEW(o0p13, p13, e0, Y1) \
	COLUMNSFEW(o1p13, p13, e1, Y13) \
	VPACKSSDW Y13, Y1, Y1 \
	VPACKSSDW e0, e1, e1 \
	COLUMNSFEW(o2p13, p13, e2, e0) \
	COLUMNSFEW(o3p13, p13, e3, Y13) \
	VPACKSSDW Y13, e0, e0 \
	VPACKSSDW e2, e3, e3 \
	TURN(Y1, e0, e3, e1)

// LAST is the second pass of four rows: pairs in p15 and p37, e0..e3; the
// samples come to e0, two rows in each lane's halves: rows 0 1 in e0, 2 3 in
// e1. t and s are lost, and all inputs.
#define LAST(p15, p37, e0, e1, e2, e3, s, t) \
	COLUMNS(o0p15, o0p37, p15, p37, e0, s, t) \
	ODD(o1p15, o1p37, p15, p37, t, Y15) \
	SUMDIFF(e1, t, Y15) \
	VPSRAD $const_shift2, e1, e1 \
	VPSRAD $const_shift2, Y15, Y15 \
	VPACKSSDW Y15, s, s \
	VPACKSSDW e0, e1, e1 \
	COLUMNS(o2p15, o2p37, p15, p37, e2, e0, t) \
	ODD(o3p15, o3p37, p15, p37, t, Y15) \
	SUMDIFF(e3, t, Y15) \
	VPSRAD $const_shift2, e3, e3 \
	VPSRAD $const_shift2, Y15, Y15 \
	VPACKSSDW Y15, e0, e0 \
	VPACKSSDW e2, e3, e3 \
	TURN(s, e0, e3, e1)

// func inverse8AVX2(dst *byte, stride int, coef *Block, n int, q *Table)
TEXT ·inverse8AVX2(SB), NOSPLIT, $0-40
	MOVQ dst+0(FP), DI
	MOVQ stride+8(FP), R8
	MOVQ coef+16(FP), SI
	MOVQ n+24(FP), CX
	MOVQ q+32(FP), BX
	LEAQ (R8)(R8*2), R9
	LEAQ (R8)(R8*4), R10
	LEAQ (R9)(R8*4), R11

next:
	LEAQ    128(SI), DX
	CMPQ    CX, $2
	CMOVQLT SI, DX

	ROW(0, X0, Y0)
	ROW(1, X4, Y4)
	ROW(2, X2, Y2)
	ROW(3, X6, Y6)
	ROW(4, X1, Y1)
	ROW(5, X5, Y5)
	ROW(6, X3, Y3)
	ROW(7, X7, Y7)

	// Anything in rows or columns 4 to 7?
	VPOR        Y1, Y5, Y8
	VPOR        Y3, Y7, Y9
	VPOR        Y0, Y4, Y10
	VPOR        Y2, Y6, Y11
	VPOR        Y8, Y9, Y8
	VPOR        Y10, Y11, Y9
	VPUNPCKHQDQ Y9, Y9, Y9
	VPOR        Y8, Y9, Y9
	VPTEST      Y9, Y9
	JZ          few

	STEP(0, Y0, Y8)
	STEP(4, Y1, Y9)
	STEP(2, Y2, Y10)
	STEP(6, Y3, Y11)
	STEP(1, Y4, Y12)
	STEP(5, Y5, Y13)
	STEP(3, Y6, Y14)
	STEP(7, Y7, Y15)

	// Rows to pairs down the columns.
	VPUNPCKHWD Y1, Y0, Y8
	VPUNPCKLWD Y1, Y0, Y0
	VMOVDQA    Y8, Y1
	VPUNPCKHWD Y3, Y2, Y9
	VPUNPCKLWD Y3, Y2, Y2
	VMOVDQA    Y9, Y3
	VPUNPCKHWD Y5, Y4, Y10
	VPUNPCKLWD Y5, Y4, Y4
	VMOVDQA    Y10, Y5
	VPUNPCKHWD Y7, Y6, Y11
	VPUNPCKLWD Y7, Y6, Y6
	VMOVDQA    Y11, Y7

	EVENLOWMUL
	ROUNDLOW
	EVENLOWSUM
	EVENHIGHMUL
	ROUNDHIGH
	EVENHIGHSUM
	LINES(o0p15, o0p37, Y10, Y12)
	LINES(o1p15, o1p37, Y2, Y3)
	LINES(o2p15, o2p37, Y9, Y0)
	LINES(o3p15, o3p37, Y8, Y11)

	// Rows 0..7 are in Y12 Y3 Y0 Y11 Y8 Y9 Y2 Y10: to pairs along the rows.
	VMOVDQU pairWords<>(SB), Y15
	VPSHUFB Y15, Y12, Y12
	VPSHUFB Y15, Y3, Y3
	VPSHUFB Y15, Y0, Y0
	VPSHUFB Y15, Y11, Y11
	VPSHUFB Y15, Y8, Y8
	VPSHUFB Y15, Y9, Y9
	VPSHUFB Y15, Y2, Y2
	VPSHUFB Y15, Y10, Y10
	VPUNPCKLDQ  Y3, Y12, Y4
	VPUNPCKHDQ  Y3, Y12, Y5
	VPUNPCKLDQ  Y11, Y0, Y6
	VPUNPCKHDQ  Y11, Y0, Y7
	VPUNPCKLDQ  Y9, Y8, Y12
	VPUNPCKHDQ  Y9, Y8, Y13
	VPUNPCKLDQ  Y10, Y2, Y14
	VPUNPCKHDQ  Y10, Y2, Y15
	VPUNPCKLQDQ Y6, Y4, Y0
	VPUNPCKHQDQ Y6, Y4, Y2
	VPUNPCKLQDQ Y7, Y5, Y4
	VPUNPCKHQDQ Y7, Y5, Y6
	VPUNPCKLQDQ Y14, Y12, Y1
	VPUNPCKHQDQ Y14, Y12, Y3
	VPUNPCKLQDQ Y15, Y13, Y5
	VPUNPCKHQDQ Y15, Y13, Y7

	EVENLOWMUL
	EVENLOWSUM
	EVENHIGHMUL
	EVENHIGHSUM
	LAST(Y4, Y6, Y10, Y2, Y9, Y8, Y1, Y13)
	LAST(Y5, Y7, Y12, Y3, Y0, Y11, Y1, Y13)

store: // rows 0 1 are in Y10, 2 3 in Y2, 4 5 in Y12, 6 7 in Y3
	LEAQ   (DI)(R10*1), R12
	CMPQ   CX, $2
	JLT    one
	VPERMQ $0xD8, Y10, Y10
	VPERMQ $0xD8, Y2, Y2
	VPERMQ $0xD8, Y12, Y12
	VPERMQ $0xD8, Y3, Y3
	VMOVDQU      X10, (DI)
	VEXTRACTI128 $1, Y10, (DI)(R8*1)
	VMOVDQU      X2, (DI)(R8*2)
	VEXTRACTI128 $1, Y2, (DI)(R9*1)
	VMOVDQU      X12, (DI)(R8*4)
	VEXTRACTI128 $1, Y12, (R12)
	VMOVDQU      X3, (DI)(R9*2)
	VEXTRACTI128 $1, Y3, (DI)(R11*1)

stored:
	ADDQ $256, SI
	ADDQ $16, DI
	SUBQ $2, CX
	JNZ  next
	VZEROUPPER
	RET

one:
	VMOVQ   X10, (DI)
	VPEXTRQ $1, X10, (DI)(R8*1)
	VMOVQ   X2, (DI)(R8*2)
	VPEXTRQ $1, X2, (DI)(R9*1)
	VMOVQ   X12, (DI)(R8*4)
	VPEXTRQ $1, X12, (R12)
	VMOVQ   X3, (DI)(R9*2)
	VPEXTRQ $1, X3, (DI)(R11*1)
	VZEROUPPER
	RET

few: // rows 0..3 are in Y0 Y4 Y2 Y6
	VPSRLDQ $2, Y0, Y9
	VPOR    Y4, Y2, Y10
	VPOR    Y6, Y9, Y9
	VPOR    Y9, Y10, Y10
	VPTEST  Y10, Y10
	JZ      mean

	STEP(0, Y0, Y8)
	STEP(2, Y2, Y10)
	STEP(1, Y4, Y12)
	STEP(3, Y6, Y14)
	VPUNPCKLWD Y2, Y0, Y0
	VPUNPCKLWD Y6, Y4, Y4
	EVENFEW(Y0, Y8, Y9, Y10, Y11)
	VMOVDQU halfUpBias<>(SB), Y15
	VPADDD  Y15, Y8, Y8
	VPADDD  Y15, Y9, Y9
	VPADDD  Y15, Y10, Y10
	VPADDD  Y15, Y11, Y11
	LINESFEW(o0p13, Y8, Y12)
	LINESFEW(o1p13, Y9, Y13)
	LINESFEW(o2p13, Y10, Y14)
	LINESFEW(o3p13, Y11, Y15)

	// Rows 0..3 are in Y12..Y15, 4..7 in Y11 Y10 Y9 Y8.
	VPACKSSDW Y13, Y12, Y12
	VPACKSSDW Y15, Y14, Y14
	VPACKSSDW Y10, Y11, Y11
	VPACKSSDW Y8, Y9, Y9
	VMOVDQU   pairWords4<>(SB), Y15
	VPSHUFB   Y15, Y12, Y12
	VPSHUFB   Y15, Y14, Y14
	VPSHUFB   Y15, Y11, Y11
	VPSHUFB   Y15, Y9, Y9
	VSHUFPS   $0x88, Y14, Y12, Y1
	VSHUFPS   $0xDD, Y14, Y12, Y4
	VSHUFPS   $0x88, Y9, Y11, Y6
	VSHUFPS   $0xDD, Y9, Y11, Y5

	EVENFEW(Y1, Y10, Y2, Y9, Y8)
	EVENFEW(Y6, Y12, Y3, Y0, Y11)
	LASTFEW(Y4, Y10, Y2, Y9, Y8)
	LASTFEW(Y5, Y12, Y3, Y0, Y11)
	JMP store

mean:
	MEAN
	LEAQ         (DI)(R10*1), R12
	CMPQ         CX, $2
	JLT          onemean
	VPERMQ  $0x08, Y0, Y0
	VMOVDQU X0, (DI)
	VMOVDQU X0, (DI)(R8*1)
	VMOVDQU X0, (DI)(R8*2)
	VMOVDQU X0, (DI)(R9*1)
	VMOVDQU X0, (DI)(R8*4)
	VMOVDQU X0, (R12)
	VMOVDQU X0, (DI)(R9*2)
	VMOVDQU X0, (DI)(R11*1)
	JMP     stored

onemean:
	VMOVQ X0, (DI)
	VMOVQ X0, (DI)(R8*1)
	VMOVQ X0, (DI)(R8*2)
	VMOVQ X0, (DI)(R9*1)
	VMOVQ X0, (DI)(R8*4)
	VMOVQ X0, (R12)
	VMOVQ X0, (DI)(R9*2)
	VMOVQ X0, (DI)(R11*1)
	VZEROUPPER
	RET
