// What the AVX2 transforms share. PAIR lays down two 16-bit factors as 8
// pairs, what VPMADDWD multiplies alternating words by; QUAD 4 double words
// for each 128-bit lane, EACH a double word 8 times.

#define WORDS(a, b) ((((b)&0xFFFF)<<16)|((a)&0xFFFF))
#define TWICE(d) (((d)<<32)|(d))

#define EIGHT(name, a, b) \
	DATA name<>+0(SB)/8, $(a)  \
	DATA name<>+8(SB)/8, $(b)  \
	DATA name<>+16(SB)/8, $(a) \
	DATA name<>+24(SB)/8, $(b) \
	GLOBL name<>(SB), RODATA|NOPTR, $32

#define PAIR(name, a, b) EIGHT(name, TWICE(WORDS(a, b)), TWICE(WORDS(a, b)))
#define EACH(name, d) EIGHT(name, TWICE(d), TWICE(d))

// Bytes of four columns of four rows to four rows of four columns.
EIGHT(turnBytes, 0x0D0905010C080400, 0x0F0B07030E0A0602)

// Half of the last place of a mean.
EIGHT(four, 0x0004000400040004, 0x0004000400040004)
// From around zero to 0..255.
EIGHT(levelShift, 0x8080808080808080, 0x8080808080808080)

// ROW loads row k of both blocks to y, STEP multiplies it by its steps.
#define ROW(k, x, y) \
	VMOVDQU (16*k)(SI), x \
	VINSERTI128 $1, (16*k)(DX), y, y

#define STEP(k, y, t) \
	VBROADCASTI128 (16*k)(BX), t \
	VPMULLW t, y, y

// SUMDIFF leaves a+b in sum and a-b in a.
#define SUMDIFF(a, b, sum) \
	VPADDD b, a, sum \
	VPSUBD b, a, a

// TURN makes rows of columns 0..3 in a and b, 4..7 in c and d, which are words
// of two columns each: rows 0 1 come to b, 2 3 to d.
#define TURN(a, b, c, d) \
	VPACKSSWB b, a, a \
	VPACKSSWB d, c, c \
	VPSHUFB turnBytes<>(SB), a, a \
	VPSHUFB turnBytes<>(SB), c, c \
	VPUNPCKLDQ c, a, b \
	VPUNPCKHDQ c, a, d \
	VPXOR levelShift<>(SB), b, b \
	VPXOR levelShift<>(SB), d, d

// MEAN fills each lane of Y0, where word 0 is all that a block has, with its
// mean as samples. Y1 is lost.
#define MEAN \
	VPBROADCASTW (BX), Y1 \
	VPMULLW Y1, Y0, Y0 \
	VPADDSW four<>(SB), Y0, Y0 \
	VPSRAW $3, Y0, Y0 \
	VPACKSSWB Y0, Y0, Y0 \
	VPXOR levelShift<>(SB), Y0, Y0 \
	VPXOR Y1, Y1, Y1 \
	VPSHUFB Y1, Y0, Y0
