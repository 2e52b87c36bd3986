//go:build !purego

#include "textflag.h"

// func blendAVX2(dst *int32, a, b *byte, near, far int32, n int)
TEXT ·blendAVX2(SB), NOSPLIT, $0-40
	MOVQ         dst+0(FP), DI
	MOVQ         a+8(FP), SI
	MOVQ         b+16(FP), DX
	MOVQ         n+32(FP), CX
	MOVL         near+24(FP), AX
	VMOVD        AX, X4
	VPBROADCASTD X4, Y4
	MOVL         far+28(FP), AX
	VMOVD        AX, X5
	VPBROADCASTD X5, Y5

blend:
	VPMOVZXBD (SI), Y0
	VPMOVZXBD (DX), Y1
	VPMULLD   Y4, Y0, Y0
	VPMULLD   Y5, Y1, Y1
	VPADDD    Y1, Y0, Y0
	VMOVDQU   Y0, (DI)
	ADDQ      $8, SI
	ADDQ      $8, DX
	ADDQ      $32, DI
	SUBQ      $8, CX
	JNZ       blend
	VZEROUPPER
	RET

// func doubleAVX2(dst, src *int32, n int)
TEXT ·doubleAVX2(SB), NOSPLIT, $0-24
	MOVQ dst+0(FP), DI
	MOVQ src+8(FP), SI
	MOVQ n+16(FP), CX

double:
	VMOVDQU    4(SI), Y0
	VPADDD     Y0, Y0, Y1
	VPADDD     Y0, Y1, Y1
	VPADDD     (SI), Y1, Y2     // towards the one before
	VPADDD     8(SI), Y1, Y3    // towards the one behind
	VPUNPCKLDQ Y3, Y2, Y4
	VPUNPCKHDQ Y3, Y2, Y5
	VPERM2I128 $0x20, Y5, Y4, Y0
	VPERM2I128 $0x31, Y5, Y4, Y1
	VMOVDQU    Y0, (DI)
	VMOVDQU    Y1, 32(DI)
	ADDQ       $32, SI
	ADDQ       $64, DI
	SUBQ       $8, CX
	JNZ        double
	VZEROUPPER
	RET

// Where the words of eight reds, greens and blues go in three times eight words.
DATA weave<>+0(SB)/8, $0x0302808080800100
DATA weave<>+8(SB)/8, $0x8080050480808080
DATA weave<>+16(SB)/8, $0x8080808001008080
DATA weave<>+24(SB)/8, $0x0504808080800302
DATA weave<>+32(SB)/8, $0x8080010080808080
DATA weave<>+40(SB)/8, $0x8080808003028080
DATA weave<>+48(SB)/8, $0x8080808007068080
DATA weave<>+56(SB)/8, $0x0b0a808080800908
DATA weave<>+64(SB)/8, $0x8080070680808080
DATA weave<>+72(SB)/8, $0x8080808009088080
DATA weave<>+80(SB)/8, $0x0706808080800504
DATA weave<>+88(SB)/8, $0x8080090880808080
DATA weave<>+96(SB)/8, $0x80800d0c80808080
DATA weave<>+104(SB)/8, $0x808080800f0e8080
DATA weave<>+112(SB)/8, $0x0d0c808080800b0a
DATA weave<>+120(SB)/8, $0x80800f0e80808080
DATA weave<>+128(SB)/8, $0x808080800b0a8080
DATA weave<>+136(SB)/8, $0x0f0e808080800d0c
GLOBL weave<>(SB), RODATA|NOPTR, $144

// Eight sums of 32 bits become eight words.
#define WORDS(y, x, other) \
	VPSRAD       $13, y, y    \
	VEXTRACTI128 $1, y, other \
	VPACKUSDW    other, x, x

// Eight words of the three go to at(DI).
#define WEAVE(out, at) \
	VPSHUFB weave<>+(48*out)(SB), X1, X4    \
	VPSHUFB weave<>+(48*out+16)(SB), X2, X5 \
	VPSHUFB weave<>+(48*out+32)(SB), X3, X6 \
	VPOR    X5, X4, X4                      \
	VPOR    X6, X4, X4                      \
	VMOVDQU X4, at(DI)

// func colourAVX2(dst *uint16, luma *byte, cb, cr *int32, k *coefficients, n int)
TEXT ·colourAVX2(SB), NOSPLIT, $0-48
	MOVQ         dst+0(FP), DI
	MOVQ         luma+8(FP), SI
	MOVQ         cb+16(FP), R8
	MOVQ         cr+24(FP), R9
	MOVQ         k+32(FP), DX
	MOVQ         n+40(FP), CX
	VPBROADCASTD 0(DX), Y8   // y
	VPBROADCASTD 4(DX), Y9   // r
	VPBROADCASTD 8(DX), Y10  // gb
	VPBROADCASTD 12(DX), Y11 // gr
	VPBROADCASTD 16(DX), Y12 // b
	VPBROADCASTD 20(DX), Y13 // r0
	VPBROADCASTD 24(DX), Y14 // g0
	VPBROADCASTD 28(DX), Y15 // b0

colour:
	VPMOVZXBD (SI), Y0
	VPMULLD   Y8, Y0, Y0
	VMOVDQU   (R8), Y6
	VMOVDQU   (R9), Y7
	VPMULLD   Y9, Y7, Y1
	VPADDD    Y0, Y1, Y1
	VPADDD    Y13, Y1, Y1
	VPMULLD   Y10, Y6, Y4
	VPMULLD   Y11, Y7, Y5
	VPSUBD    Y4, Y0, Y2
	VPSUBD    Y5, Y2, Y2
	VPADDD    Y14, Y2, Y2
	VPMULLD   Y12, Y6, Y3
	VPADDD    Y0, Y3, Y3
	VPADDD    Y15, Y3, Y3
	WORDS(Y1, X1, X4)
	WORDS(Y2, X2, X5)
	WORDS(Y3, X3, X6)
	WEAVE(0, 0)
	WEAVE(1, 16)
	WEAVE(2, 32)
	ADDQ $8, SI
	ADDQ $32, R8
	ADDQ $32, R9
	ADDQ $48, DI
	SUBQ $8, CX
	JNZ  colour
	VZEROUPPER
	RET
