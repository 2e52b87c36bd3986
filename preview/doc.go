// Package preview shows camera files: it opens one, chooses among the JPEGs
// that the camera put inside the smallest that is big enough, reads that one
// and no more, and gives it upright and at the size wanted. Raw data are never
// developed.
//
// The packages below it do the parts: raw locates, jpeg decodes, pix turns and
// measures, cache keeps, sched orders the work.
//
// # Security
//
// Files are hostile. What is read is bounded by raw.MaxBytes, MaxPreview and
// the limits of package jpeg, whatever the file says of itself.
package preview
