// Package preview shows camera files: it opens one, chooses among the JPEGs
// that the camera put inside the smallest that is big enough, reads that one
// and no more, and gives it upright, at the size wanted and in sRGB. Raw data are
// never developed. Detail gives parts of the largest one at its own pixels, and
// says where to look first.
//
// The packages below it do the parts: raw locates, jpeg decodes, icc knows what
// colours are meant, pix turns, resizes, converts and measures, cache keeps, sched
// orders the work.
//
// # Security
//
// Files are hostile. What is read is bounded by raw.MaxBytes, MaxPreview and
// the limits of package jpeg, whatever the file says of itself.
package preview
