// Instructions that Go's assembler has no name for, with the number of each
// register; the name of Arm's manual (DDI 0487, C7.2) is that of the macro. All on
// four float32: Vd = Vn op Vm.

#define THREE(m, n, d) ((m)<<16|(n)<<5|(d))
#define FADD4S(d, n, m) WORD $(0x4E20D400|THREE(m, n, d))
#define FMAX4S(d, n, m) WORD $(0x4E20F400|THREE(m, n, d))
#define FMIN4S(d, n, m) WORD $(0x4EA0F400|THREE(m, n, d))

// SIXES fills a register with 6.
#define SIXES(r, v) \
	MOVD $0x40C00000, r \
	VDUP r, v.S4
