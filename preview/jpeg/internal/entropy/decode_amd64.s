//go:build !purego

#include "go_asm.h"
#include "textflag.h"

// The loops are without a branch that depends on where blocks end: such a
// branch is mispredicted about once a block, which costs more than the rest of
// it. Each lookup is in the table that the entry before it leads to: the AC
// table of the block, or the DC table of the next.
//
//	R8  the next bits, from the top
//	R9  how many of them are sure; others below are right or zero
//	R10 the byte that the first of the bits after those is in
//	R11 the table of this lookup
//	R12 position in the block
//	R13 the block
//	R14 the slot
//	DI  AC table of the slot
//	SI  DC table of the next slot
//	BX  natural order
//	DX  the entry
//	AX, CX, R15 for passing use

#define SLOT slot__size

// The tables and block of slot R14.
#define LOADSLOT \
	MOVQ slot_ac(R14), DI; \
	MOVQ (SLOT+slot_dc)(R14), SI; \
	MOVQ slot_to(R14), R13

// Fills R8 up to 56 bits at least. T is for passing use.
#define REFILL(T) \
	MOVQ  (R10), T; \
	BSWAPQ T; \
	SHRXQ R9, T, T; \
	ORQ   T, R8; \
	MOVQ  R9, T; \
	XORQ  $63, T; \
	SHRQ  $3, T; \
	ADDQ  T, R10; \
	ORQ   $56, R9

// Sets R8, R9 and R10 for bit AX from byte R10 on.
#define POINT \
	MOVQ  AX, CX; \
	SHRQ  $3, CX; \
	ADDQ  CX, R10; \
	MOVQ  (R10), R8; \
	BSWAPQ R8; \
	ANDQ  $7, AX; \
	SHLXQ AX, R8, R8; \
	MOVQ  $56, R9; \
	SUBQ  AX, R9; \
	ADDQ  $7, R10

// One lookup up to the new position in R12, with the step in AX.
#define LOOKUP(BITS) \
	MOVQ  R8, AX; \
	SHRQ  $(64-BITS), AX; \
	MOVL  (R11)(AX*4), DX; \
	SHLXQ DX, R8, R8; \
	MOVL  DX, CX; \
	ANDL  $const_lengthMask, CX; \
	SUBQ  CX, R9; \
	MOVL  DX, AX; \
	SHRL  $const_stepShift, AX; \
	ANDL  $const_stepMask, AX; \
	ADDL  AX, R12; \
	CMPL  R12, $63; \
	JAE   special

// What comes after: the next table, and where a block ends its slot is left.
#define FOLLOW \
	MOVQ    DI, R11; \
	BTL     $15, DX; \
	CMOVQCS SI, R11; \
	SBBQ    CX, CX; \
	SHRL    $const_valueShift, DX

#define LEAVE \
	MOVB  R12, slot_last(R14); \
	ANDNQ R12, CX, R12; \
	ANDL  $SLOT, CX; \
	ADDQ  CX, R14; \
	LOADSLOT

#define BLOCKSTEP \
	LOOKUP(const_peek); \
	MOVBLZX (BX)(R12*1), R15; \
	FOLLOW; \
	ADDW  DX, (R13)(R15*2); \
	LEAVE

#define FIRSTSTEP \
	LOOKUP(const_firstPeek); \
	FOLLOW; \
	ADDW  DX, (R13); \
	LEAVE

// The description of a symbol that needs a closer look: into DX, and the bits
// of its code into CX.
#define DESCRIBE \
	SUBL AX, R12; \
	SHRL $const_valueShift, DX; \
	MOVL DX, CX; \
	SHRL $9, CX; \
	JNZ  known; \
	TESTL DX, DX; \
	JZ   done; \
	MOVQ slot_deep(R14), CX; \
	SHLL $(16-const_peek), DX; \
	MOVQ R8, AX; \
	SHRQ $48, AX; \
	ANDL $((1<<(16-const_peek))-1), AX; \
	ADDL AX, DX; \
	MOVWLZX (CX)(DX*2), DX; \
	MOVL DX, CX; \
	SHRL $9, CX; \
	JZ   done

// The value in the DX bits at the top of R8, into AX: less 2^n - 1 if the
// first of them is 0.
#define EXTEND \
	XORL  CX, CX; \
	SUBL  DX, CX; \
	SHRXQ CX, R8, AX; \
	MOVQ  R8, CX; \
	SARQ  $63, CX; \
	NOTQ  CX; \
	MOVQ  $-1, R15; \
	SHLXQ DX, R15, R15; \
	INCQ  R15; \
	ANDQ  CX, R15; \
	ADDQ  R15, AX; \
	SHLXQ DX, R8, R8

// Gets the place in from st, with slots in R14 and buf in R10.
#define ENTER \
	MOVQ st+0(FP), DX; \
	MOVQ buf+8(FP), R10; \
	MOVQ state_at(DX), AX; \
	POINT; \
	MOVQ state_k(DX), R12; \
	MOVQ slots+16(FP), R14; \
	ADDQ state_slot(DX), R14; \
	LOADSLOT; \
	MOVQ slot_dc(R14), R11; \
	MOVQ state_inside(DX), AX; \
	TESTQ AX, AX; \
	CMOVQNE DI, R11

// Puts the place back.
#define EXIT \
	MOVQ st+0(FP), DX; \
	SUBQ buf+8(FP), R10; \
	SHLQ $3, R10; \
	SUBQ R9, R10; \
	MOVQ R10, state_at(DX); \
	MOVQ R12, state_k(DX); \
	XORL AX, AX; \
	CMPQ R11, DI; \
	SETEQ AX; \
	MOVQ AX, state_inside(DX); \
	SUBQ slots+16(FP), R14; \
	MOVQ R14, state_slot(DX)

// func blocksBMI2(st *state, buf *buffer, slots *slot, natural *[64]uint8, limit int)
TEXT ·blocksBMI2(SB), NOSPLIT, $0-40
	ENTER
	MOVQ natural+24(FP), BX
	MOVQ limit+32(FP), R15
	ADDQ buf+8(FP), R15
	MOVQ R15, limit+32(FP)

loop:
	CMPQ R10, limit+32(FP)
	JA   done
	REFILL(AX)
	BLOCKSTEP
	BLOCKSTEP
	BLOCKSTEP
	BLOCKSTEP
	BLOCKSTEP
	JMP  loop

special:
	CMPL AX, $const_more
	JNE  over
	DESCRIBE

known:
	REFILL(AX)
	MOVL DX, AX
	SHRL $4, AX
	ANDL $31, AX                // the step
	ADDL AX, R12
	CMPL R12, $63
	JHI  undo
	SHLXQ CX, R8, R8
	ANDL $15, DX                // bits of the value
	SUBQ CX, R9
	SUBQ DX, R9
	EXTEND
	MOVBLZX (BX)(R12*1), R15
	ADDW  AX, (R13)(R15*2)
	MOVQ  DI, R11
	CMPL  R12, $63
	JNE   loop

end:
	MOVB R12, slot_last(R14)
	ADDQ $SLOT, R14
	LOADSLOT
	MOVQ slot_dc(R14), R11
	XORL R12, R12
	JMP  loop

over:
	CMPL R12, $63
	JNE  back
	MOVL DX, AX
	SHRL $const_valueShift, AX
	ADDW AX, 126(R13)
	BTL  $15, DX
	JCC  end

	// There is no code for the end behind the last coefficient.
	MOVBLZX slot_end(R14), AX
	ADDQ AX, R9
	MOVQ buf+8(FP), CX
	SUBQ CX, R10
	LEAQ (R10*8), AX
	SUBQ R9, AX
	MOVQ CX, R10
	POINT
	JMP  end

back:
	SUBL AX, R12
	ANDL $const_lengthMask, DX
	ADDQ DX, R9
	JMP  done

undo:
	SUBL AX, R12

done:
	EXIT
	RET

// func firstBMI2(st *state, buf *buffer, slots *slot, limit int)
TEXT ·firstBMI2(SB), NOSPLIT, $0-32
	ENTER
	MOVQ limit+24(FP), BX
	ADDQ buf+8(FP), BX

loop:
	CMPQ R10, BX
	JA   done
	REFILL(AX)
	FIRSTSTEP
	FIRSTSTEP
	FIRSTSTEP
	JMP  loop

special:
	CMPL AX, $const_more
	JNE  back
	DESCRIBE

known:
	REFILL(AX)
	MOVL DX, AX
	SHRL $4, AX
	ANDL $31, AX                // the step: 0 of a DC difference
	ADDL AX, R12
	CMPL R12, $63
	JAE  undo
	SHLXQ CX, R8, R8
	ANDL $15, DX                // bits of the value
	SUBQ CX, R9
	SUBQ DX, R9
	CMPL AX, $1
	SBBQ AX, AX
	MOVQ AX, limit+24(FP)
	EXTEND
	ANDQ limit+24(FP), AX
	ADDW AX, (R13)
	MOVQ DI, R11
	JMP  loop

back:
	SUBL AX, R12
	ANDL $const_lengthMask, DX
	ADDQ DX, R9
	JMP  done

undo:
	SUBL AX, R12

done:
	EXIT
	RET
