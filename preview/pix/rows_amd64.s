#include "textflag.h"

// Half of unity, for rounding, in every lane of Y14; Y15 is zero.
#define CONSTANTS \
	VPXOR    Y15, Y15, Y15 \
	MOVL     $8192, AX     \
	VMOVD    AX, X14       \
	VPBROADCASTD X14, Y14

// Eight sums in the lanes of Y0, in order, become eight samples at DI.
#define STORE8 \
	VPADDD       Y14, Y0, Y0 \
	VPSRAD       $14, Y0, Y0 \
	VEXTRACTI128 $1, Y0, X1  \
	VPACKSSDW    X1, X0, X0  \
	VPACKUSWB    X0, X0, X0  \
	VMOVQ        X0, (DI)

#define ARGUMENTS \
	MOVQ dst+0(FP), DI      \
	MOVQ src+8(FP), SI      \
	MOVQ first+16(FP), R8   \
	MOVQ weights+24(FP), R9 \
	MOVQ n+32(FP), CX       \
	CONSTANTS

// ADVANCE goes on by eight samples, whose weights take 1<<shift bytes each. The last
// eight may overlap those before.
#define ADVANCE(shift, again, done) \
	SUBQ $8, CX        \
	JZ   done          \
	MOVQ $8, AX        \
	CMPQ CX, AX        \
	CMOVQLT CX, AX     \
	ADDQ AX, DI        \
	LEAQ (R8)(AX*4), R8 \
	SHLQ $shift, AX    \
	ADDQ AX, R9        \
	CMPQ CX, $8        \
	JGE  again         \
	MOVQ $8, CX        \
	JMP  again

// Two samples of eight taps into the halves of a register.
#define TWO(at, x, y) \
	MOVL      (4*at)(R8), AX      \
	MOVL      (4*at+4)(R8), BX    \
	VMOVQ     (SI)(AX*1), x       \
	VPINSRQ   $1, (SI)(BX*1), x, x \
	VPMOVZXBW x, y                \
	VPMADDWD  (16*at)(R9), y, y

// One sample of sixteen taps.
#define ONE(at, y) \
	MOVL      (4*at)(R8), AX \
	VPMOVZXBW (SI)(AX*1), y  \
	VPMADDWD  (32*at)(R9), y, y

// Four samples' sums in X lanes from four registers.
#define FOUR(a, b, c, d, xa, xb) \
	VPHADDD      b, a, a    \
	VPHADDD      d, c, c    \
	VPHADDD      c, a, a    \
	VEXTRACTI128 $1, a, xb  \
	VPADDD       xb, xa, xa

// func mixAVX2(dst, src *byte, stride int, weights *int16, pairs, n int)
//
// Two rows are interleaved, widened to words, and multiplied and added in pairs.
// Unpacking and packing stay in the halves of a register, so that the samples
// come out in order. The last block overlaps the one before.
TEXT ·mixAVX2(SB), NOSPLIT, $0-48
	MOVQ dst+0(FP), DI
	MOVQ src+8(FP), SI
	MOVQ stride+16(FP), DX
	MOVQ weights+24(FP), BX
	MOVQ pairs+32(FP), CX
	MOVQ n+40(FP), R8
	CONSTANTS
	SUBQ $32, R8
	XORQ R9, R9

mixBlock:
	LEAQ    (SI)(R9*1), R10
	MOVQ    BX, R11
	MOVQ    CX, R12
	VMOVDQA Y14, Y0
	VMOVDQA Y14, Y1
	VMOVDQA Y14, Y2
	VMOVDQA Y14, Y3

mixPair:
	VMOVDQU      (R10), Y4
	VMOVDQU      (R10)(DX*1), Y5
	VPBROADCASTD (R11), Y6
	LEAQ         (R10)(DX*2), R10
	ADDQ         $4, R11
	VPUNPCKLBW   Y5, Y4, Y7
	VPUNPCKHBW   Y5, Y4, Y8
	VPUNPCKLBW   Y15, Y7, Y9
	VPUNPCKHBW   Y15, Y7, Y10
	VPUNPCKLBW   Y15, Y8, Y11
	VPUNPCKHBW   Y15, Y8, Y12
	VPMADDWD     Y6, Y9, Y9
	VPMADDWD     Y6, Y10, Y10
	VPMADDWD     Y6, Y11, Y11
	VPMADDWD     Y6, Y12, Y12
	VPADDD       Y9, Y0, Y0
	VPADDD       Y10, Y1, Y1
	VPADDD       Y11, Y2, Y2
	VPADDD       Y12, Y3, Y3
	DECQ         R12
	JNZ          mixPair

	VPSRAD    $14, Y0, Y0
	VPSRAD    $14, Y1, Y1
	VPSRAD    $14, Y2, Y2
	VPSRAD    $14, Y3, Y3
	VPACKSSDW Y1, Y0, Y0
	VPACKSSDW Y3, Y2, Y2
	VPACKUSWB Y2, Y0, Y0
	VMOVDQU   Y0, (DI)(R9*1)
	CMPQ      R9, R8
	JEQ       mixDone
	ADDQ      $32, R9
	CMPQ      R9, R8
	JLE       mixBlock
	MOVQ      R8, R9
	JMP       mixBlock

mixDone:
	VZEROUPPER
	RET

// func narrow4AVX2(dst, src *byte, first *int32, weights *int16, n int)
TEXT ·narrow4AVX2(SB), NOSPLIT, $0-40
	ARGUMENTS

again4:
	MOVL      0(R8), AX
	MOVL      4(R8), BX
	MOVL      8(R8), DX
	MOVL      12(R8), R10
	VMOVD     (SI)(AX*1), X0
	VPINSRD   $1, (SI)(BX*1), X0, X0
	VPINSRD   $2, (SI)(DX*1), X0, X0
	VPINSRD   $3, (SI)(R10*1), X0, X0
	MOVL      16(R8), AX
	MOVL      20(R8), BX
	MOVL      24(R8), DX
	MOVL      28(R8), R10
	VMOVD     (SI)(AX*1), X1
	VPINSRD   $1, (SI)(BX*1), X1, X1
	VPINSRD   $2, (SI)(DX*1), X1, X1
	VPINSRD   $3, (SI)(R10*1), X1, X1
	VPMOVZXBW X0, Y0
	VPMOVZXBW X1, Y1
	VPMADDWD  0(R9), Y0, Y0
	VPMADDWD  32(R9), Y1, Y1
	VPHADDD   Y1, Y0, Y0
	VPERMQ    $0xD8, Y0, Y0
	STORE8
	ADVANCE(3, again4, done4)

done4:
	VZEROUPPER
	RET

// func narrow8AVX2(dst, src *byte, first *int32, weights *int16, n int)
TEXT ·narrow8AVX2(SB), NOSPLIT, $0-40
	ARGUMENTS

again8:
	TWO(0, X0, Y0)
	TWO(2, X1, Y1)
	TWO(4, X2, Y2)
	TWO(6, X3, Y3)
	VPHADDD      Y1, Y0, Y0
	VPHADDD      Y3, Y2, Y2
	VPHADDD      Y2, Y0, Y0   // even samples below, odd ones above
	VEXTRACTI128 $1, Y0, X1
	VPUNPCKLDQ   X1, X0, X2
	VPUNPCKHDQ   X1, X0, X3
	VINSERTI128  $1, X3, Y2, Y0
	STORE8
	ADVANCE(4, again8, done8)

done8:
	VZEROUPPER
	RET

// func narrow16AVX2(dst, src *byte, first *int32, weights *int16, n int)
TEXT ·narrow16AVX2(SB), NOSPLIT, $0-40
	ARGUMENTS

again16:
	ONE(0, Y0)
	ONE(1, Y1)
	ONE(2, Y2)
	ONE(3, Y3)
	ONE(4, Y4)
	ONE(5, Y5)
	ONE(6, Y6)
	ONE(7, Y7)
	FOUR(Y0, Y1, Y2, Y3, X0, X1)
	FOUR(Y4, Y5, Y6, Y7, X4, X5)
	VINSERTI128 $1, X4, Y0, Y0
	STORE8
	ADVANCE(5, again16, done16)

done16:
	VZEROUPPER
	RET
