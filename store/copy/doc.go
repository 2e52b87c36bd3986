// Package copy makes verified copies: of one file, to several places, from one
// read of the source. When a target is reported as copied or present, its whole
// content has been read back after it was synced, equals the source, and is
// durable under its final name (the contract is in package store).
//
//	           ┌──── SHA-256 ───────────────────────────┐
//	source ────┤ partial beside target 1 ─ sync ─ close ─┴─ read back ─ rename ─ sync folder
//	(1 read)   └ partial beside target 2 ─ sync ─ close ─── read back ─ rename ─ sync folder
//
// The steps of a target: look whether it exists; partial; preallocate; write;
// compare the length; time of modification; sync; close; read back past the
// system's cache and compare the digest; rename without replacing; sync the
// folder. The targets go through them side by side and independently: one that
// fails (a full disk, a broken one) does not hold the others up.
//
// # What is never done
//
// The source is only read. A target that exists is never written: with the same
// content it is present and nothing is copied, with other content it is an error
// ([store.ErrDiffers]). A file that was read only in part, or that changed while
// it was read, gets no final name anywhere.
//
// # A source that is hard to read
//
// A failure to read ends the work, or with Job.Again begins it anew: from the
// first byte, with new partials, since of a medium that failed once nothing that
// it gave before is believed.
//
// # Several copies at once
//
// While one file is synced and read back, the next may be read: call [File] from
// two or three goroutines for one card. Job.Reader keeps it to one reading of
// that card at a time, which cards and their readers are fastest at; Job.Pool
// bounds the memory of all copies together, however many targets they have.
//
// # Going on after an interruption
//
// Call again with the same jobs. What is finished is found present, at the price
// of reading it once; partials are not continued, since nothing is known about
// their bytes: sweep each target folder once, at the start, with vfs.Sweep.
//
// # Caveats
//
// The permission bits of a copy are those of any new file, its time is the
// source's where the file system can keep it. Other attributes (owner, extended
// attributes, resource forks, streams) are not copied. A clone shares its bytes
// with the source: it protects against editing, not against a broken medium.
package copy
