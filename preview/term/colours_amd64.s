#include "textflag.h"

#define WORDS(value, X, Y) \
	MOVL         $value, AX \
	VMOVD        AX, X      \
	VPBROADCASTW X, Y

// Half the pixels of a channel: what chroma gives is doubled, luma added, and the
// sum shifted. Pixels of both lanes stay side by side with those of luma.
#define CHANNEL(op, chroma, low, high) \
	VPUNPCKLWD chroma, chroma, low  \
	VPUNPCKHWD chroma, chroma, high \
	op         low, Y5, low         \
	op         high, Y6, high       \
	VPSRAW     X13, low, low        \
	VPSRAW     X13, high, high      \
	VPACKUSWB  high, low, low

// func pairsAVX2(dst, luma, cb, cr *byte, n, half, shift int)
TEXT ·pairsAVX2(SB), NOSPLIT, $0-56
	MOVQ         dst+0(FP), DI
	MOVQ         luma+8(FP), SI
	MOVQ         cb+16(FP), R8
	MOVQ         cr+24(FP), R9
	MOVQ         n+32(FP), CX
	VMOVD        half+40(FP), X14
	VPBROADCASTW X14, Y14
	VMOVD        shift+48(FP), X13
	VPXOR        Y15, Y15, Y15
	VPCMPEQB     Y7, Y7, Y7       // alpha
	// The weights of colours.go.
	WORDS(0x8000, X12, Y12)
	WORDS(11485, X11, Y11)
	WORDS(2819, X10, Y10)
	WORDS(5850, X9, Y9)
	WORDS(14516, X8, Y8)

again:
	// Chroma less 128, in the upper half of a word.
	VPMOVZXBW (R8), Y0
	VPMOVZXBW (R9), Y1
	VPSLLW    $8, Y0, Y0
	VPSLLW    $8, Y1, Y1
	VPXOR     Y12, Y0, Y0
	VPXOR     Y12, Y1, Y1
	VPMULHRSW Y11, Y1, Y2 // red
	VPMULHRSW Y8, Y0, Y4  // blue
	VPMULHRSW Y10, Y0, Y0
	VPMULHRSW Y9, Y1, Y1
	VPADDW    Y0, Y1, Y3  // green

	VMOVDQU    (SI), Y0
	VPUNPCKLBW Y15, Y0, Y5
	VPUNPCKHBW Y15, Y0, Y6
	VPSLLW     $6, Y5, Y5
	VPSLLW     $6, Y6, Y6
	VPADDW     Y14, Y5, Y5
	VPADDW     Y14, Y6, Y6

	CHANNEL(VPADDW, Y2, Y0, Y1)
	CHANNEL(VPSUBW, Y3, Y1, Y2)
	CHANNEL(VPADDW, Y4, Y2, Y3)

	VPUNPCKLBW Y1, Y0, Y3
	VPUNPCKHBW Y1, Y0, Y0
	VPUNPCKLBW Y7, Y2, Y4
	VPUNPCKHBW Y7, Y2, Y2
	VPUNPCKLWD Y4, Y3, Y5
	VPUNPCKHWD Y4, Y3, Y6
	VPUNPCKLWD Y2, Y0, Y1
	VPUNPCKHWD Y2, Y0, Y3

	VMOVDQU      X5, (DI)
	VMOVDQU      X6, 16(DI)
	VMOVDQU      X1, 32(DI)
	VMOVDQU      X3, 48(DI)
	VEXTRACTI128 $1, Y5, 64(DI)
	VEXTRACTI128 $1, Y6, 80(DI)
	VEXTRACTI128 $1, Y1, 96(DI)
	VEXTRACTI128 $1, Y3, 112(DI)

	ADDQ $128, DI
	ADDQ $32, SI
	ADDQ $16, R8
	ADDQ $16, R9
	SUBQ $32, CX
	JNZ  again
	VZEROUPPER
	RET
