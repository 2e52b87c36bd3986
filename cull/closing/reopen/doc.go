// Package reopen reads bags of jobs (cull/closing) again: it checks one, and makes a job
// of it.
//
// # What is checked
//
// [Check] is that of BagIt (store/archive), every byte of it, and then what only garner
// knows: that the record is whole, that every file of the job lies where the record says
// with the bytes that it says, and that every small picture can be decoded and was made
// of the original that it stands for.
//
// # How a bag becomes a job
//
// [Run] goes through these steps; each finds what an earlier, interrupted one did:
//
//  1. the record is held against the manifest and read; nothing is written before that
//  2. opening.txt in the state folder says which record the folder is made of. Without it
//     only a folder that is empty is taken
//  3. journal.txt, from which package job makes every decision again; answers about faces,
//     folders that everything goes to and bags are those of the other copy, and are taken
//     back: the bag of this one is the one that it is made of
//  4. files under their paths in the job, copied and read back (store/copy); of originals
//     that are not in the bag the small pictures, as they lie in a job whose originals
//     were freed
//  5. the catalogue: bodies and frames with their ids from the record, files by a scan,
//     fingerprints, measures and thumbnails from the record, the order grouped anew from
//     these
//  6. the manifest of originals, and what handoffs wrote into sidecars
//  7. opening.txt goes, unless a file could not be had: then another bag of the same
//     record may bring it
//
// The same bag gives the same files and the same journal, whatever was interrupted.
//
// # What is hostile
//
// A bag may come from anywhere. Paths that leave the job, or lead into its state, are
// refused; what is there is never written over; links in a bag are not followed; a file
// counts only with the bytes that manifest and record both say.
package reopen
