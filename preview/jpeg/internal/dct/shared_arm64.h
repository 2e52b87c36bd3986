// What the NEON transforms share. First the instructions that Go's assembler
// has no name for, with the number of each register; the name of Arm's manual
// (DDI 0487, C7.2) is that of the macro. Widening ones take the lower half of
// their words, those with a 2 the upper one.

#define ELEMENT(m, i) (((i)&1)<<20|((i)>>1&1)<<21|((i)>>2)<<11|(m)<<16)
#define TWO(n, d) ((n)<<5|(d))
#define THREE(m, n, d) ((m)<<16|(n)<<5|(d))

// Vd.4S = Vn.4H times word i of Vm (V0 to V15); MLAL adds to Vd.
#define SMULL(d, n, m, i)  WORD $(0x0F40A000|ELEMENT(m, i)|TWO(n, d))
#define SMULL2(d, n, m, i) WORD $(0x4F40A000|ELEMENT(m, i)|TWO(n, d))
#define SMLAL(d, n, m, i)  WORD $(0x0F402000|ELEMENT(m, i)|TWO(n, d))
#define SMLAL2(d, n, m, i) WORD $(0x4F402000|ELEMENT(m, i)|TWO(n, d))

// The same word by word.
#define SMULLV(d, n, m)  WORD $(0x0E60C000|THREE(m, n, d))
#define SMLALV(d, n, m)  WORD $(0x0E608000|THREE(m, n, d))
#define SMLAL2V(d, n, m) WORD $(0x4E608000|THREE(m, n, d))

// Vd.4S = Vn.4H + Vm.4H, and less.
#define SADDL(d, n, m)  WORD $(0x0E600000|THREE(m, n, d))
#define SADDL2(d, n, m) WORD $(0x4E600000|THREE(m, n, d))
#define SSUBL(d, n, m)  WORD $(0x0E602000|THREE(m, n, d))
#define SSUBL2(d, n, m) WORD $(0x4E602000|THREE(m, n, d))

// Vd.4S = Vn.4H << s.
#define SSHLL(d, n, s)  WORD $(0x0F00A400|(16+(s))<<16|TWO(n, d))
#define SSHLL2(d, n, s) WORD $(0x4F00A400|(16+(s))<<16|TWO(n, d))

// Vd.8H = Vn.8H * Vm.8H; Vn + Vm saturated; Vn >> s.
#define MUL8H(d, n, m)   WORD $(0x4E609C00|THREE(m, n, d))
#define SQADD8H(d, n, m) WORD $(0x4E600C00|THREE(m, n, d))
#define SSHR8H(d, n, s)  WORD $(0x4F000400|(32-(s))<<16|TWO(n, d))

// Words from double words: Vd.4H = Vn.4S >> s, saturated or cut.
#define SQSHRN(d, n, s)  WORD $(0x0F009400|(32-(s))<<16|TWO(n, d))
#define SQSHRN2(d, n, s) WORD $(0x4F009400|(32-(s))<<16|TWO(n, d))
#define SHRN(d, n, s)    WORD $(0x0F008400|(32-(s))<<16|TWO(n, d))
#define SHRN2(d, n, s)   WORD $(0x4F008400|(32-(s))<<16|TWO(n, d))

// Bytes from words: Vd.8B = Vn.8H >> s, saturated.
#define SQSHRNB(d, n, s)  WORD $(0x0F009400|(16-(s))<<16|TWO(n, d))
#define SQSHRNB2(d, n, s) WORD $(0x4F009400|(16-(s))<<16|TWO(n, d))
#define SQXTNB(d, n)      WORD $(0x0E214800|TWO(n, d))
#define SQXTNB2(d, n)     WORD $(0x4E214800|TWO(n, d))

// Vd.4S = Vn.4H * Vm.4H without signs.
#define UMULLV(d, n, m)  WORD $(0x2E60C000|THREE(m, n, d))
#define UMULL2V(d, n, m) WORD $(0x6E60C000|THREE(m, n, d))

// The same >> s, rounded: words from double words, and words.
#define RSHRN(d, n, s)   WORD $(0x0F008C00|(32-(s))<<16|TWO(n, d))
#define RSHRN2(d, n, s)  WORD $(0x4F008C00|(32-(s))<<16|TWO(n, d))
#define SRSHR8H(d, n, s) WORD $(0x4F002400|(32-(s))<<16|TWO(n, d))

// Words: absolute value, all bits if below zero, shift by a signed amount.
#define ABS8H(d, n)     WORD $(0x4E60B800|TWO(n, d))
#define CMLT8H(d, n)    WORD $(0x4E60A800|TWO(n, d))
#define USHL8H(d, n, m) WORD $(0x6E604400|THREE(m, n, d))

// Data: four words in a quad word, two double words in one.
#define WORDS(a, b, c, d) (((d)&0xFFFF)<<48|((c)&0xFFFF)<<32|((b)&0xFFFF)<<16|((a)&0xFFFF))
#define TWICE(d) ((d)<<32|(d))
#define SIXTEEN(name, off, a, b) \
	DATA name<>+(off+0)(SB)/8, $(a) \
	DATA name<>+(off+8)(SB)/8, $(b)

// MEAN fills V4 with the mean, as samples, of a block whose word 0 of V16 is
// all it has. q is the address of the steps.
#define MEAN(q) \
	VLD1 (q), [V5.H8] \
	MUL8H(4, 16, 5) \
	VMOVI $4, V5.B16 \
	VUSHLL $0, V5.B8, V5.H8 \
	SQADD8H(4, 4, 5) \
	SSHR8H(4, 4, 3) \
	SQXTNB(4, 4) \
	VMOVI $128, V5.B16 \
	VEOR V5.B16, V4.B16, V4.B16 \
	VDUP V4.B[0], V4.B16

// TRANSPOSE turns 8x8 words in V24..V31 over, into V16..V23.
#define TRANSPOSE \
	VTRN1 V25.H8, V24.H8, V16.H8 \
	VTRN2 V25.H8, V24.H8, V17.H8 \
	VTRN1 V27.H8, V26.H8, V18.H8 \
	VTRN2 V27.H8, V26.H8, V19.H8 \
	VTRN1 V29.H8, V28.H8, V20.H8 \
	VTRN2 V29.H8, V28.H8, V21.H8 \
	VTRN1 V31.H8, V30.H8, V22.H8 \
	VTRN2 V31.H8, V30.H8, V23.H8 \
	VTRN1 V18.S4, V16.S4, V24.S4 \
	VTRN2 V18.S4, V16.S4, V26.S4 \
	VTRN1 V19.S4, V17.S4, V25.S4 \
	VTRN2 V19.S4, V17.S4, V27.S4 \
	VTRN1 V22.S4, V20.S4, V28.S4 \
	VTRN2 V22.S4, V20.S4, V30.S4 \
	VTRN1 V23.S4, V21.S4, V29.S4 \
	VTRN2 V23.S4, V21.S4, V31.S4 \
	VTRN1 V28.D2, V24.D2, V16.D2 \
	VTRN2 V28.D2, V24.D2, V20.D2 \
	VTRN1 V29.D2, V25.D2, V17.D2 \
	VTRN2 V29.D2, V25.D2, V21.D2 \
	VTRN1 V30.D2, V26.D2, V18.D2 \
	VTRN2 V30.D2, V26.D2, V22.D2 \
	VTRN1 V31.D2, V27.D2, V19.D2 \
	VTRN2 V31.D2, V27.D2, V23.D2
