// Package bmff walks the boxes of the ISO base media file format (ISO/IEC
// 14496-12), and reads the two tables in them that lead to pictures: the items of
// a meta box (as ISO/IEC 23008-12, HEIF, uses them) and the first sample of a
// track. It knows the syntax; which item is a preview is the business of its
// callers.
//
// # Security
//
// Input is untrusted. A box never reaches outside the box around it, one Reader
// sees at most a fixed number of boxes, tables are cut at a fixed length, and no
// count in the file decides an allocation: a table's entries are counted by the
// bytes that are there. What is found out before an error is returned beside it,
// because a camera file that was cut short still shows its first pictures.
package bmff
