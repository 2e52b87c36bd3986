#include "textflag.h"

// func squaresSSE2(dst *byte, down int, src *byte, step, n int)
//
// Eight rows of eight samples are interleaved three times, samples, pairs and
// fours: then each register holds two columns.
TEXT ·squaresSSE2(SB), NOSPLIT, $0-40
	MOVQ dst+0(FP), DI
	MOVQ down+8(FP), R8
	MOVQ src+16(FP), SI
	MOVQ step+24(FP), R10
	MOVQ n+32(FP), CX
	LEAQ (R8)(R8*2), R9
	LEAQ (R10)(R10*2), R11

again:
	LEAQ      (SI)(R10*4), BX
	MOVQ      (SI), X0
	MOVQ      (SI)(R10*1), X1
	MOVQ      (SI)(R10*2), X2
	MOVQ      (SI)(R11*1), X3
	MOVQ      (BX), X4
	MOVQ      (BX)(R10*1), X5
	MOVQ      (BX)(R10*2), X6
	MOVQ      (BX)(R11*1), X7
	PUNPCKLBW X1, X0
	PUNPCKLBW X3, X2
	PUNPCKLBW X5, X4
	PUNPCKLBW X7, X6
	MOVO      X0, X8
	MOVO      X4, X9
	PUNPCKLWL X2, X0
	PUNPCKHWL X2, X8
	PUNPCKLWL X6, X4
	PUNPCKHWL X6, X9
	MOVO      X0, X10
	MOVO      X8, X11
	PUNPCKLLQ X4, X0
	PUNPCKHLQ X4, X10
	PUNPCKLLQ X9, X8
	PUNPCKHLQ X9, X11
	LEAQ      (DI)(R8*4), DX
	MOVQ      X0, (DI)
	MOVHPS    X0, (DI)(R8*1)
	MOVQ      X10, (DI)(R8*2)
	MOVHPS    X10, (DI)(R9*1)
	MOVQ      X8, (DX)
	MOVHPS    X8, (DX)(R8*1)
	MOVQ      X11, (DX)(R8*2)
	MOVHPS    X11, (DX)(R9*1)
	ADDQ      $8, SI
	LEAQ      (DI)(R8*8), DI
	DECQ      CX
	JNZ       again
	RET
