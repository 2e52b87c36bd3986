//go:build !purego

#include "go_asm.h"
#include "textflag.h"

// The kernels of ycbcr.go.

#define WORDS(v, x, y) \
	MOVL $(v), BX    \
	VMOVD BX, x      \
	VPBROADCASTW x, y

// PAIRS makes of 16 samples in a and those after them in b what lies between, three
// quarters of the nearer one: with the roundings Y14 and Y15, in parts of 1<<shift. The
// two results of a pair are the bytes of a word.
#define PAIRS(a, b, shift) \
	VPADDW a, a, Y4      \
	VPADDW a, Y4, Y4     \
	VPADDW b, Y4, Y4     \
	VPADDW b, b, Y5      \
	VPADDW b, Y5, Y5     \
	VPADDW a, Y5, Y5     \
	VPADDW Y14, Y4, Y4   \
	VPADDW Y15, Y5, Y5   \
	VPSRLW $shift, Y4, Y4 \
	VPSRLW $shift, Y5, Y5 \
	VPSLLW $8, Y5, Y5    \
	VPOR Y5, Y4, Y4

// func widen16(a *widenArgs)
TEXT ·widen16(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), AX
	MOVQ widenArgs_dst(AX), DI
	MOVQ widenArgs_near(AX), SI
	MOVQ widenArgs_blocks(AX), CX
	WORDS(2, X14, Y14)
	WORDS(1, X15, Y15)

wide:
	VPMOVZXBW (SI), Y0
	VPMOVZXBW 1(SI), Y1
	PAIRS(Y0, Y1, 2)
	VMOVDQU Y4, (DI)
	ADDQ $16, SI
	ADDQ $32, DI
	DECQ CX
	JNZ  wide
	VZEROUPPER
	RET

// SUM is three times the nearer row and the farther one.
#define SUM(at, a, t) \
	VPMOVZXBW at(SI), a \
	VPMOVZXBW at(R8), t \
	VPADDW a, t, t      \
	VPADDW a, a, a      \
	VPADDW t, a, a

// func widenBetween16(a *widenArgs)
TEXT ·widenBetween16(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), AX
	MOVQ widenArgs_dst(AX), DI
	MOVQ widenArgs_near(AX), SI
	MOVQ widenArgs_far(AX), R8
	MOVQ widenArgs_blocks(AX), CX
	WORDS(7, X14, Y14)
	WORDS(8, X15, Y15)

between:
	SUM(0, Y0, Y2)
	SUM(1, Y1, Y3)
	PAIRS(Y0, Y1, 4)
	VMOVDQU Y4, (DI)
	ADDQ $16, SI
	ADDQ $16, R8
	ADDQ $32, DI
	DECQ CX
	JNZ  between
	VZEROUPPER
	RET

// Of pixel j/3 channel j%3 is byte j of the result: which bytes of red, green and blue
// go to each of its three vectors.
DATA weave<>+0(SB)/8, $0x8002808001808000
DATA weave<>+8(SB)/8, $0x0580800480800380
DATA weave<>+16(SB)/8, $0x0280800180800080
DATA weave<>+24(SB)/8, $0x8080048080038080
DATA weave<>+32(SB)/8, $0x8080018080008080
DATA weave<>+40(SB)/8, $0x8004808003808002
DATA weave<>+48(SB)/8, $0x8080078080068080
DATA weave<>+56(SB)/8, $0x800A808009808008
DATA weave<>+64(SB)/8, $0x8007808006808005
DATA weave<>+72(SB)/8, $0x0A80800980800880
DATA weave<>+80(SB)/8, $0x0780800680800580
DATA weave<>+88(SB)/8, $0x8080098080088080
DATA weave<>+96(SB)/8, $0x0D80800C80800B80
DATA weave<>+104(SB)/8, $0x80800F80800E8080
DATA weave<>+112(SB)/8, $0x80800C80800B8080
DATA weave<>+120(SB)/8, $0x800F80800E80800D
DATA weave<>+128(SB)/8, $0x800C80800B80800A
DATA weave<>+136(SB)/8, $0x0F80800E80800D80
GLOBL weave<>(SB), RODATA|NOPTR, $144

// WEAVE puts one of the three vectors together.
#define WEAVE(n) \
	VPSHUFB weave<>+(48*n)(SB), X0, X4    \
	VPSHUFB weave<>+(48*n+16)(SB), X1, X5 \
	VPSHUFB weave<>+(48*n+32)(SB), X2, X6 \
	VPOR X5, X4, X4                       \
	VPOR X6, X4, X4                       \
	VMOVDQU X4, (16*n)(DI)

// BYTES makes bytes of words, clipped.
#define BYTES(y, x) \
	VEXTRACTI128 $1, y, X7 \
	VPACKUSWB X7, x, x

// func rgb16(a *rgbArgs)
//
// Factors do not fit into a word: what is left of them does when one, or two, is
// taken away, and that many times the sample is added. The high half of a product
// with twice the sample, plus one, halved, is the product rounded.
TEXT ·rgb16(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), AX
	MOVQ rgbArgs_dst(AX), DI
	MOVQ rgbArgs_luma(AX), SI
	MOVQ rgbArgs_cb(AX), R8
	MOVQ rgbArgs_cr(AX), R9
	MOVQ rgbArgs_blocks(AX), CX
	WORDS(128, X15, Y15)
	WORDS(const_crToR-65536, X14, Y14)
	WORDS(const_cbToB-131072, X13, Y13)
	WORDS(1, X12, Y12)
	MOVL $(((const_crToG+65536)<<16)|(const_cbToG&0xFFFF)), BX
	VMOVD BX, X11
	VPBROADCASTD X11, Y11
	MOVL $const_half, BX
	VMOVD BX, X10
	VPBROADCASTD X10, Y10

pixels:
	VPMOVZXBW (SI), Y0
	VPMOVZXBW (R8), Y1
	VPMOVZXBW (R9), Y2
	VPSUBW Y15, Y1, Y1 // blue difference
	VPSUBW Y15, Y2, Y2 // red difference

	VPADDW Y2, Y2, Y3
	VPMULHW Y14, Y3, Y3
	VPADDW Y12, Y3, Y3
	VPSRAW $1, Y3, Y3
	VPADDW Y2, Y3, Y3
	VPADDW Y0, Y3, Y3 // red

	VPADDW Y1, Y1, Y4
	VPMULHW Y13, Y4, Y5
	VPADDW Y12, Y5, Y5
	VPSRAW $1, Y5, Y5
	VPADDW Y4, Y5, Y5
	VPADDW Y0, Y5, Y5 // blue

	VPUNPCKLWD Y2, Y1, Y6
	VPUNPCKHWD Y2, Y1, Y7
	VPMADDWD Y11, Y6, Y6
	VPMADDWD Y11, Y7, Y7
	VPADDD Y10, Y6, Y6
	VPADDD Y10, Y7, Y7
	VPSRAD $16, Y6, Y6
	VPSRAD $16, Y7, Y7
	VPACKSSDW Y7, Y6, Y6
	VPSUBW Y2, Y6, Y6
	VPADDW Y0, Y6, Y1 // green

	VMOVDQA Y3, Y0
	VMOVDQA Y5, Y2
	BYTES(Y0, X0)
	BYTES(Y1, X1)
	BYTES(Y2, X2)
	WEAVE(0)
	WEAVE(1)
	WEAVE(2)
	ADDQ $16, SI
	ADDQ $16, R8
	ADDQ $16, R9
	ADDQ $48, DI
	DECQ CX
	JNZ  pixels
	VZEROUPPER
	RET
