// Package sixel writes pictures as sixels, for terminals that draw in colour
// registers: VT330/VT340 Programmer Reference Manual, Volume 2 (Graphics
// Programming), chapter 14 "Sixel Graphics" (Digital Equipment Corporation,
// 1987); section names in the comments are that chapter's.
//
// A picture is drawn in bands of six rows, in each band one colour after the
// other. The colours are chosen for the picture, as many as the terminal has
// registers. What makes a terminal slow is the number of bytes, so the encoder
// leaves out whatever is not needed to say the picture.
package sixel
