// Package entropy reads the entropy-coded data of sequential JPEG pictures:
// Huffman codes and what they stand for, as in ITU-T T.81 Annexes C and F.2.2.
// It gives quantised coefficients, or the DC coefficients alone, which is
// quicker. It exists in plain Go and in assembly for amd64 with the instructions
// of BMI2; both give the same.
//
// Data may be anything. What is broken is found out at the latest at the end of
// the read in which it lies.
package entropy
