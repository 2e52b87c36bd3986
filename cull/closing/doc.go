// Package closing archives a job: every file of it goes into a bag (store/archive) but
// the originals of dropped frames, of each of which a small picture is kept
// (preview/small), and with them what the job knows (cull/closing/record).
//
//	walk of the folder ─┐
//	catalogue, journal ─┼─ plan: what goes where ─┬─ --dry-run: say it
//	bags, last record ──┘                         └─ small pictures ─ files ─ record ─ read back ─ verdict
//
// # What is in a bag
//
//	data/job/PATH        a file of the job
//	data/small/PATH.jpg  the small picture of the original PATH of a dropped frame
//	data/later/N/PATH    a file that changed after it was archived first
//	data/record/N/       what the job knew then
//
// A bag only grows: nothing in it is replaced or removed. A frame that is dropped after it
// was archived stays in it as a whole, one that is kept after all comes to it. What has not
// changed is not written again; a run in which nothing has leaves the bag byte for byte as
// it is, and reads all of it back.
//
// # Whose bag it is
//
// A bag is known for that of a job by the journal in its record, all of which has to be
// in the job's journal too. What has the job's name and is not its bag is left alone; the
// bag is NAME-2 then.
//
// # What is believed
//
// Decisions, order and journal are those of one moment; a station may go on meanwhile.
// The bytes of a file are those that the manifest says, if it says any; else they are what
// was read. A file with the size and time of the last record has its bytes. Whether the
// job's folder may be deleted is said only of what was read back in the same run, from
// every bag, on two disks other than that of the job, and while the folder is as it was.
package closing
