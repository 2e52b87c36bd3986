//go:build !purego

#include "go_asm.h"
#include "textflag.h"

// func wildAVX2(wild *byte, coef *Block, n int, q *[64]uint16)
TEXT ·wildAVX2(SB), NOSPLIT, $0-32
	MOVQ wild+0(FP), DI
	MOVQ coef+8(FP), SI
	MOVQ n+16(FP), CX
	MOVQ q+24(FP), DX
	VMOVDQU (DX), Y8
	VMOVDQU 32(DX), Y9
	VMOVDQU 64(DX), Y10
	VMOVDQU 96(DX), Y11

loop:
	VPMULLW (SI), Y8, Y0
	VPMULLW 32(SI), Y9, Y1
	VPMULLW 64(SI), Y10, Y2
	VPMULLW 96(SI), Y11, Y3
	VPABSW Y0, Y0
	VPABSW Y1, Y1
	VPABSW Y2, Y2
	VPABSW Y3, Y3
	VPEXTRW $0, X0, R8          // DC
	VPADDUSW Y1, Y0, Y0
	VPADDUSW Y3, Y2, Y2
	VPADDUSW Y2, Y0, Y0
	VEXTRACTI128 $1, Y0, X1
	VPADDUSW X1, X0, X0
	VPSRLDQ $8, X0, X1
	VPADDUSW X1, X0, X0
	VPSRLDQ $4, X0, X1
	VPADDUSW X1, X0, X0
	VPSRLDQ $2, X0, X1
	VPADDUSW X1, X0, X0
	VPEXTRW $0, X0, AX          // all, and where that is too much: 65535
	ADDL AX, AX
	SUBL R8, AX
	CMPL AX, $const_limit
	SETGT (DI)
	INCQ DI
	ADDQ $128, SI
	DECQ CX
	JNZ  loop
	VZEROUPPER
	RET
