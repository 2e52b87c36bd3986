// Package free gives the disk back: it deletes the raw originals of dropped frames,
// of which a small picture is in every bag of the job. It is the only part of garner
// that deletes an original, so it is written to be read.
//
// # What may go
//
// Raw files of frames that were answered with no in the pass keep, and nothing else:
// no JPEG or HEIF, no clip, no voice note, no sidecar, nothing of a frame that is
// open, kept, material for a merge, or taken back by a later pass such as the rescue. [Plan] lists them, and what stays although its
// frame was dropped, with the reason. With Options.Retire, raw files of kept frames go
// too, for which more is asked.
//
// # What is proved, and when
//
// Nothing that was proved on another day counts. In this run every bag of the job is
// read whole and found valid (archive.Check). Then, for one file after the other,
// right before it goes:
//
//   - its frame is still answered with no, and the file is still that frame's;
//   - in every bag lies its small picture: the bytes that the bag's manifest has, which
//     decode to the last row, and say of themselves that they stand for a file of this
//     path, this frame, this size and this SHA-256;
//   - the original is a regular file, reached without a link, with no other name; all
//     its bytes are read from the open file, and their SHA-256 is the one that every
//     bag, the small picture and the job's manifest have;
//   - the JPEG in the original is the one in the small picture.
//
// # The order of a removal
//
// Each step is durable before the next one:
//
//  1. the small picture is copied from a bag to JOB/small/PATH.jpg and read back
//  2. the journal says: correct freed #ID PATH SHA-256 BYTES
//  3. the name is moved aside, to .NAME.garner-freeing in the same folder
//  4. what was moved is compared with the open file: another one is put back
//  5. it is removed, and the folder is synced
//
// Steps 3 and 4 are there because no system but Windows can remove an open file
// itself, and names may come to mean another file at any moment: so what is removed is
// the file that was read, not what has its name by then. The folder is held open
// too, and was entered without following links.
//
// At every instant each frame has its original, or a verified small picture in every
// bag and in the job. Killed between any two steps, the next run goes on: an original
// that lies aside gets its name back, already from the next command that writes ([Mend]),
// and is proved anew. Catalogue and manifest follow
// at the end of a run, and would be put right by the next one or by preparing.
//
// # Caveats
//
// A person who replaces .NAME.garner-freeing within the microseconds of steps 4 and 5
// could still lose what they put there. A bag that is taken away or falls ill after its
// small picture was read for a file is not noticed for that file; the picture in
// JOB/small is of it.
package free
