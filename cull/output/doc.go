// Package output cuts the sets of a job: what an editor gave back lies in
// JOB/finished, and the files for the print lab, for online and for a screen show
// come into JOB/sets/NAME, each picture decoded once for all of them
// (preview/render).
//
// # Sets
//
// lab, online, screen and proofs are built in; garner.toml changes them and adds others
// (job.SetSettings). [Sets] lays one over the other. Proofs are pictures in two sizes, and
// when those are there, contact sheets and a page (preview/proofs).
//
// # Names and numbers
//
// A picture is its path in finished/, and after a renaming its content. It is given a
// number when it is first seen, in the order of the day, the same in all sets; later
// pictures get the numbers that follow. Its name in a set stands from the first cut on,
// until the pattern of names is changed. Both are kept in JOB/sets/names.jsonl, beside
// what they are about, so that they outlive the catalogue and go along where sets/ is
// copied to: one checked line for each fact, appended as files are cut and written anew
// in order at the end. Where that file is lost as well, names and numbers are read back
// from the files in sets/, which say in their XMP which picture and which set they are.
//
// # What is cut
//
// A file is cut if what goes into it has changed since: the picture's content, or the
// settings, the stamp, and what is written of time and rights. A file appears whole or
// not at all, and after it has been read back by decoding it. What is interrupted goes on
// where it stopped, and ends in the same bytes.
//
// What is wrong with one picture or file is said of it. What keeps a whole set from being
// cut (no folder, no stamp), or all that are still to come (no room), is said of each of
// their files, and the others are cut.
//
// Nothing is removed: files of pictures that are gone, or of former names, are counted
// and left. Nothing is replaced that this package did not make: a file whose bytes are no
// longer those that were cut stays, unless it cannot be decoded.
package output
