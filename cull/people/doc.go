// Package people keeps templates of faces, by which a person is found again in a
// job, and groups them into persons. Templates are biometric data: they are made
// only where the job's consent says yes, and they live in one file, JOB/.garner/
// people.db, and nowhere else. Nothing else that garner writes holds a byte of
// them: no catalogue, journal, cache, sidecar, list, copy or JSON.
//
// A person is a group of templates that lie near each other. That is likeness and
// not identity: relatives are taken for one another, and one person seen twice may
// be two persons here. No name is ever inferred; p1, p2, … stand until somebody
// gives one.
//
// # What is on the disk when a call returns
//
// Every call that changes something replaces the whole file ([Store.Put],
// [Store.Rename], [Store.Forget]) or removes it ([Store.ForgetAll]), durably. At
// every instant, also after a power failure, what counts is the old content or the
// new one, whole. The former file is filled with zeros, synced and only then removed
// (store/erasable). What a killed program left of it is finished off by the next
// call, and whenever the job is opened to be written to.
//
// # Caveats
//
// Overwriting reaches the bytes of the file, not what lies below: flash media write
// to other cells, file systems that copy on write or keep snapshots (btrfs, ZFS,
// APFS) keep the former blocks, and so does a backup. Whoever must be sure
// encrypts the disk. Nor is anything known of memory that the system wrote to its
// swap space.
//
// Of a person who was forgotten there remains where in the frames a face was, so
// that these are not measured again. A frame that is measured later may show the
// person anew, as another person. Templates of frames that left the folder stay, since
// frames come back, until they are forgotten ([Store.ForgetOthers]).
//
// # Security
//
// The file is read with bounds for everything; one that is damaged, or of a later
// version, is refused as a whole.
package people
