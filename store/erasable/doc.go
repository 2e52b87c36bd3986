// Package erasable keeps a file of which nothing may stay behind: its content is
// replaced as a whole, so that at every instant, also after a power failure, what
// counts is the former content or the new one, and former content is filled with
// zeros, synced and only then removed.
//
// While a replacement is under way the new content lies beside the file, as
// NAME.new, and then the former one, as NAME.old; NAME.lock is empty and stays.
// What a killed program left of them is finished off by the next call, or by
// [File.Settle] at the start of a work. The files are for nobody but their owner,
// where the file system knows owners.
//
// # Caveats
//
// Overwriting reaches the bytes of the file, not what lies below it: flash media
// write to other cells, file systems that copy on write, keep a journal of data or
// snapshots (btrfs, ZFS, APFS) keep former blocks, and so does a backup.
package erasable
