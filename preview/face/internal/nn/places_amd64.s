//go:build !purego

#include "go_asm.h"
#include "textflag.h"

// The kernels of places_vector.go. R8 is where the window of a place begins, DI
// where its result goes, R12 the size of a place; Y0 is
// the sum. Y13 has slopes, Y14 zeros and Y15 six.

// func depthwise8(a *placesArgs)
TEXT ·depthwise8(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), SI
	MOVQ placesArgs_colStep(SI), R12
	MOVL $0x40C00000, AX
	VMOVD AX, X15
	VBROADCASTSS X15, Y15
	VXORPS Y14, Y14, Y14
	MOVQ placesArgs_act(SI), AX

block:
	MOVQ placesArgs_done(SI), BX
	MOVQ placesArgs_src(SI), R8
	MOVQ placesArgs_dst(SI), DI
	MOVQ placesArgs_bias(SI), R10
	MOVQ placesArgs_slope(SI), R11
	VMOVUPS (R10)(BX*1), Y12
	VMOVUPS (R11)(BX*1), Y13
	ADDQ BX, R8
	ADDQ BX, DI
	MOVQ placesArgs_pixels(SI), CX
	CMPQ placesArgs_rows(SI), $3
	JNE  pixel
	CMPQ placesArgs_cols(SI), $3
	JNE  pixel

	// Nine weights stay in Y1..Y9.
	ADDQ placesArgs_weights(SI), BX
	MOVQ placesArgs_weightStep(SI), DX
	VMOVUPS (BX), Y1
	VMOVUPS (BX)(R12*1), Y2
	VMOVUPS (BX)(R12*2), Y3
	ADDQ DX, BX
	VMOVUPS (BX), Y4
	VMOVUPS (BX)(R12*1), Y5
	VMOVUPS (BX)(R12*2), Y6
	ADDQ DX, BX
	VMOVUPS (BX), Y7
	VMOVUPS (BX)(R12*1), Y8
	VMOVUPS (BX)(R12*2), Y9
	MOVQ placesArgs_rowStep(SI), DX

nine:
	LEAQ (R8)(DX*1), R9
	LEAQ (R8)(DX*2), R10
	VMOVAPS Y12, Y0
	VFMADD231PS (R8), Y1, Y0
	VFMADD231PS (R8)(R12*1), Y2, Y0
	VFMADD231PS (R8)(R12*2), Y3, Y0
	VFMADD231PS (R9), Y4, Y0
	VFMADD231PS (R9)(R12*1), Y5, Y0
	VFMADD231PS (R9)(R12*2), Y6, Y0
	VFMADD231PS (R10), Y7, Y0
	VFMADD231PS (R10)(R12*1), Y8, Y0
	VFMADD231PS (R10)(R12*2), Y9, Y0
	CMPQ AX, $const_None
	JEQ  nineDone
	VMINPS Y14, Y0, Y10
	VMAXPS Y14, Y0, Y0
	CMPQ AX, $const_ReLU
	JEQ  nineDone
	CMPQ AX, $const_PReLU
	JEQ  nineSlope
	VMINPS Y15, Y0, Y0
	JMP  nineDone

nineSlope:
	VFMADD231PS Y13, Y10, Y0

nineDone:
	VMOVUPS Y0, (DI)
	ADDQ placesArgs_advance(SI), R8
	ADDQ R12, DI
	DECQ CX
	JNZ  nine
	JMP  next

pixel:
	VMOVAPS Y12, Y0
	MOVQ R8, R9
	MOVQ placesArgs_weights(SI), BX
	ADDQ placesArgs_done(SI), BX
	MOVQ placesArgs_rows(SI), DX

row:
	MOVQ R9, R10
	MOVQ BX, R11
	MOVQ placesArgs_cols(SI), R13

tap:
	VMOVUPS (R11), Y1
	VFMADD231PS (R10), Y1, Y0
	ADDQ R12, R10
	ADDQ R12, R11
	DECQ R13
	JNZ  tap
	ADDQ placesArgs_rowStep(SI), R9
	ADDQ placesArgs_weightStep(SI), BX
	DECQ DX
	JNZ  row

	CMPQ AX, $const_None
	JEQ  done
	VMINPS Y14, Y0, Y10
	VMAXPS Y14, Y0, Y0
	CMPQ AX, $const_ReLU
	JEQ  done
	CMPQ AX, $const_PReLU
	JEQ  slope
	VMINPS Y15, Y0, Y0
	JMP  done

slope:
	VFMADD231PS Y13, Y10, Y0

done:
	VMOVUPS Y0, (DI)
	ADDQ placesArgs_advance(SI), R8
	ADDQ R12, DI
	DECQ CX
	JNZ  pixel

next:
	ADDQ $(4*const_lanes), placesArgs_done(SI)
	DECQ placesArgs_blocks(SI)
	JNZ  block
	VZEROUPPER
	RET

// func max8(a *placesArgs)
TEXT ·max8(SB), NOSPLIT, $0-8
	MOVQ a+0(FP), SI
	MOVQ placesArgs_colStep(SI), R12

block:
	MOVQ placesArgs_src(SI), R8
	MOVQ placesArgs_dst(SI), DI
	ADDQ placesArgs_done(SI), R8
	ADDQ placesArgs_done(SI), DI
	MOVQ placesArgs_pixels(SI), CX

pixel:
	VMOVUPS (R8), Y0
	MOVQ R8, R9
	MOVQ placesArgs_rows(SI), DX

row:
	MOVQ R9, R10
	MOVQ placesArgs_cols(SI), R13

tap:
	VMAXPS (R10), Y0, Y0
	ADDQ R12, R10
	DECQ R13
	JNZ  tap
	ADDQ placesArgs_rowStep(SI), R9
	DECQ DX
	JNZ  row

	VMOVUPS Y0, (DI)
	ADDQ placesArgs_advance(SI), R8
	ADDQ R12, DI
	DECQ CX
	JNZ  pixel
	ADDQ $(4*const_lanes), placesArgs_done(SI)
	DECQ placesArgs_blocks(SI)
	JNZ  block
	VZEROUPPER
	RET
