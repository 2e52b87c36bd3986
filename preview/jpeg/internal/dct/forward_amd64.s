//go:build !purego

#include "go_asm.h"
#include "textflag.h"
#include "shared_amd64.h"

// The forward transform of forward.go for two blocks at once, one in each
// 128-bit lane.

PAIR(x2k, const_evenU2, const_evenV2)
PAIR(x6k, const_evenU6, const_evenV6)
PAIR(x1k01, const_odd01, const_odd11)
PAIR(x1k23, const_odd21, const_odd31)
PAIR(x3k01, const_odd03, const_odd13)
PAIR(x3k23, const_odd23, const_odd33)
PAIR(x5k01, const_odd05, const_odd15)
PAIR(x5k23, const_odd25, const_odd35)
PAIR(x7k01, const_odd07, const_odd17)
PAIR(x7k23, const_odd27, const_odd37)

EACH(halfUp1, const_fround1)
EACH(halfUp2, const_fround2)
PAIR(levelSum, const_level, const_level)
PAIR(two, 2, 2)

// Which bytes of each 16 of a block in Place's order go to the zigzag order's
// first to fourth 16; 80 is none.
EIGHT(z0from0, 0x8080800902010800, 0x808080800B04030A)
EIGHT(z0from1, 0x0108008080808080, 0x8080090280808080)
EIGHT(z0from2, 0x8080808080808080, 0x0800808080808080)
EIGHT(z1from0, 0x800D06050C808080, 0x8080808080808080)
EIGHT(z1from1, 0x0480808080030A80, 0x808080808080800B)
EIGHT(z1from2, 0x8080808080808001, 0x030A808080090280)
EIGHT(z1from3, 0x8080808080808080, 0x8080010800808080)
EIGHT(z2from0, 0x8080800F070E8080, 0x8080808080808080)
EIGHT(z2from1, 0x800D06808080050C, 0x0E80808080808080)
EIGHT(z2from2, 0x0480808080808080, 0x80050C808080800B)
EIGHT(z2from3, 0x8080808080808080, 0x808080030A090280)
EIGHT(z3from1, 0x8080808080800F07, 0x8080808080808080)
EIGHT(z3from2, 0x808080800D068080, 0x80808080800F070E)
EIGHT(z3from3, 0x050C0B0480808080, 0x0F070E0D06808080)

// SHRINK rounds, shifts and narrows the halves l and h of one output.
#define SHRINK(l, h, round, shift, out) \
	VPADDD round, l, l \
	VPADDD round, h, h \
	VPSRAD $shift, l, l \
	VPSRAD $shift, h, h \
	VPACKSSDW h, l, out

#define ODD(k01, k23, round, shift, out) \
	VPMADDWD k01<>(SB), Y8, Y13 \
	VPMADDWD k23<>(SB), Y11, Y14 \
	VPADDD Y14, Y13, Y13 \
	VPMADDWD k01<>(SB), Y9, Y14 \
	VPMADDWD k23<>(SB), Y12, Y15 \
	VPADDD Y15, Y14, Y14 \
	SHRINK(Y13, Y14, round, shift, out)

// ANALYSE is one dimension of inputs 0..7 in Y0..Y7. The outputs 0..7 come to
// Y6 Y0 Y5 Y1 Y4 Y2 Y10 Y3, 0 and 4 without a shift.
#define ANALYSE(round, shift) \
	VPADDW Y7, Y0, Y8 \
	VPSUBW Y7, Y0, Y0 \
	VPADDW Y6, Y1, Y9 \
	VPSUBW Y6, Y1, Y1 \
	VPADDW Y5, Y2, Y10 \
	VPSUBW Y5, Y2, Y2 \
	VPADDW Y4, Y3, Y11 \
	VPSUBW Y4, Y3, Y3 \
	VMOVDQU round<>(SB), Y7 \
	VPADDW Y11, Y8, Y4 \
	VPSUBW Y11, Y8, Y8 \
	VPADDW Y10, Y9, Y5 \
	VPSUBW Y10, Y9, Y9 \
	VPADDW Y5, Y4, Y6 \
	VPSUBW Y5, Y4, Y4 \
	VPUNPCKLWD Y9, Y8, Y10 \
	VPUNPCKHWD Y9, Y8, Y11 \
	VPMADDWD x2k<>(SB), Y10, Y5 \
	VPMADDWD x2k<>(SB), Y11, Y12 \
	VPMADDWD x6k<>(SB), Y10, Y10 \
	VPMADDWD x6k<>(SB), Y11, Y11 \
	SHRINK(Y5, Y12, Y7, shift, Y5) \
	SHRINK(Y10, Y11, Y7, shift, Y10) \
	VPUNPCKLWD Y1, Y0, Y8 \
	VPUNPCKHWD Y1, Y0, Y9 \
	VPUNPCKLWD Y3, Y2, Y11 \
	VPUNPCKHWD Y3, Y2, Y12 \
	ODD(x1k01, x1k23, Y7, shift, Y0) \
	ODD(x3k01, x3k23, Y7, shift, Y1) \
	ODD(x5k01, x5k23, Y7, shift, Y2) \
	ODD(x7k01, x7k23, Y7, shift, Y3)

// QUANTISE divides row k and stores it; x is the lower lane of y.
#define QUANTISE(k, x, y) \
	VBROADCASTI128 (16*k)(BX), Y12 \
	VBROADCASTI128 (128+16*k)(BX), Y13 \
	VBROADCASTI128 (256+16*k)(BX), Y14 \
	VPABSW y, Y15 \
	VPADDW Y12, Y15, Y15 \
	VPMULHUW Y13, Y15, Y15 \
	VPMULHUW Y14, Y15, Y15 \
	VPSIGNW y, Y15, y \
	VMOVDQU x, (16*k)(SI) \
	VEXTRACTI128 $1, y, (16*k)(DX)

// func forwardAVX2(coef *Block, nonzero *uint64, src *byte, stride, n int, z *Quantiser)
TEXT ·forwardAVX2(SB), NOSPLIT, $256-48
	MOVQ coef+0(FP), SI
	MOVQ nonzero+8(FP), R13
	MOVQ src+16(FP), DI
	MOVQ stride+24(FP), R8
	MOVQ n+32(FP), CX
	MOVQ z+40(FP), BX
	LEAQ 128(SI), DX
	CMPQ CX, $2
	JLT  last

next:
	LEAQ (R8)(R8*2), R9
	LEAQ (DI)(R8*4), R12
	VPMOVZXBW (DI), Y0
	VPMOVZXBW (DI)(R8*1), Y1
	VPMOVZXBW (DI)(R8*2), Y2
	VPMOVZXBW (DI)(R9*1), Y3
	VPMOVZXBW (R12), Y4
	VPMOVZXBW (R12)(R8*1), Y5
	VPMOVZXBW (R12)(R8*2), Y6
	VPMOVZXBW (R12)(R9*1), Y7

	ANALYSE(halfUp1, const_fshift1)
	VPSUBW levelSum<>(SB), Y6, Y6
	VPSLLW $const_passBits, Y6, Y6
	VPSLLW $const_passBits, Y4, Y4

	// Frequencies 0..7 of eight columns to eight columns of frequencies.
	VPUNPCKLWD  Y0, Y6, Y7
	VPUNPCKHWD  Y0, Y6, Y8
	VPUNPCKLWD  Y1, Y5, Y9
	VPUNPCKHWD  Y1, Y5, Y11
	VPUNPCKLWD  Y2, Y4, Y12
	VPUNPCKHWD  Y2, Y4, Y13
	VPUNPCKLWD  Y3, Y10, Y14
	VPUNPCKHWD  Y3, Y10, Y15
	VPUNPCKLDQ  Y9, Y7, Y0
	VPUNPCKHDQ  Y9, Y7, Y2
	VPUNPCKLDQ  Y11, Y8, Y4
	VPUNPCKHDQ  Y11, Y8, Y6
	VPUNPCKLDQ  Y14, Y12, Y1
	VPUNPCKHDQ  Y14, Y12, Y3
	VPUNPCKLDQ  Y15, Y13, Y5
	VPUNPCKHDQ  Y15, Y13, Y7
	VPUNPCKLQDQ Y1, Y0, Y8
	VPUNPCKHQDQ Y1, Y0, Y1
	VMOVDQA     Y8, Y0
	VPUNPCKLQDQ Y3, Y2, Y8
	VPUNPCKHQDQ Y3, Y2, Y3
	VMOVDQA     Y8, Y2
	VPUNPCKLQDQ Y5, Y4, Y8
	VPUNPCKHQDQ Y5, Y4, Y5
	VMOVDQA     Y8, Y4
	VPUNPCKLQDQ Y7, Y6, Y8
	VPUNPCKHQDQ Y7, Y6, Y7
	VMOVDQA     Y8, Y6

	ANALYSE(halfUp2, const_fshift2)
	VMOVDQU two<>(SB), Y8
	VPADDW  Y8, Y6, Y6
	VPADDW  Y8, Y4, Y4
	VPSRAW  $const_passBits, Y6, Y6
	VPSRAW  $const_passBits, Y4, Y4

	QUANTISE(0, X6, Y6)
	QUANTISE(1, X0, Y0)
	QUANTISE(2, X5, Y5)
	QUANTISE(3, X1, Y1)
	QUANTISE(4, X4, Y4)
	QUANTISE(5, X2, Y2)
	QUANTISE(6, X10, Y10)
	QUANTISE(7, X3, Y3)

	// What is not zero, in bytes, in zigzag order, in bits.
	VPACKSSWB Y0, Y6, Y6
	VPACKSSWB Y1, Y5, Y5
	VPACKSSWB Y2, Y4, Y4
	VPACKSSWB Y3, Y10, Y10
	VPSHUFB z0from0<>(SB), Y6, Y0
	VPSHUFB z0from1<>(SB), Y5, Y7
	VPSHUFB z0from2<>(SB), Y4, Y8
	VPOR Y7, Y0, Y0
	VPOR Y8, Y0, Y0
	VPSHUFB z1from0<>(SB), Y6, Y1
	VPSHUFB z1from1<>(SB), Y5, Y7
	VPSHUFB z1from2<>(SB), Y4, Y8
	VPSHUFB z1from3<>(SB), Y10, Y9
	VPOR Y7, Y1, Y1
	VPOR Y8, Y1, Y1
	VPOR Y9, Y1, Y1
	VPSHUFB z2from0<>(SB), Y6, Y2
	VPSHUFB z2from1<>(SB), Y5, Y7
	VPSHUFB z2from2<>(SB), Y4, Y8
	VPSHUFB z2from3<>(SB), Y10, Y9
	VPOR Y7, Y2, Y2
	VPOR Y8, Y2, Y2
	VPOR Y9, Y2, Y2
	VPSHUFB z3from1<>(SB), Y5, Y3
	VPSHUFB z3from2<>(SB), Y4, Y7
	VPSHUFB z3from3<>(SB), Y10, Y8
	VPOR Y7, Y3, Y3
	VPOR Y8, Y3, Y3
	VPXOR Y11, Y11, Y11
	VPERM2I128 $0x20, Y1, Y0, Y4
	VPERM2I128 $0x20, Y3, Y2, Y5
	VPERM2I128 $0x31, Y1, Y0, Y6
	VPERM2I128 $0x31, Y3, Y2, Y7
	VPCMPEQB Y11, Y4, Y4
	VPCMPEQB Y11, Y5, Y5
	VPCMPEQB Y11, Y6, Y6
	VPCMPEQB Y11, Y7, Y7
	VPMOVMSKB Y4, AX
	VPMOVMSKB Y5, R9
	SHLQ $32, R9
	ORQ  R9, AX
	NOTQ AX
	MOVQ AX, (R13)
	CMPQ CX, $2
	JLT  done
	VPMOVMSKB Y6, AX
	VPMOVMSKB Y7, R9
	SHLQ $32, R9
	ORQ  R9, AX
	NOTQ AX
	MOVQ AX, 8(R13)

	ADDQ $16, R13
	ADDQ $16, DI
	ADDQ $256, SI
	LEAQ 128(SI), DX
	SUBQ $2, CX
	JZ   done
	CMPQ CX, $2
	JGE  next

last: // one block: its rows to the stack, 16 apart, and the other's result too
	MOVQ (DI), AX
	MOVQ AX, 0(SP)
	MOVQ (DI)(R8*1), AX
	MOVQ AX, 16(SP)
	MOVQ (DI)(R8*2), AX
	MOVQ AX, 32(SP)
	LEAQ (R8)(R8*2), R9
	MOVQ (DI)(R9*1), AX
	MOVQ AX, 48(SP)
	LEAQ (DI)(R8*4), DI
	MOVQ (DI), AX
	MOVQ AX, 64(SP)
	MOVQ (DI)(R8*1), AX
	MOVQ AX, 80(SP)
	MOVQ (DI)(R8*2), AX
	MOVQ AX, 96(SP)
	MOVQ (DI)(R9*1), AX
	MOVQ AX, 112(SP)
	LEAQ 0(SP), DI
	LEAQ 128(SP), DX
	MOVQ $16, R8
	JMP  next

done:
	VZEROUPPER
	RET
