// Package cache keeps small pictures between runs: thumbnails in packs that
// only grow, renditions in a file each, and the ones just used in memory.
//
// It is a cache and no store. What it gives back is what was put in under that
// key, or nothing: every entry carries its key and a checksum, and an entry
// that does not agree with them is a miss. Nothing is synced to the disk. Its
// folder may be deleted at any time, also while it is in use, and several
// programs may use one folder side by side: each adds to a pack of its own.
//
// # Caveats
//
// A slice that Get returns is shared: it must not be written to. The limit on
// the disk is kept by each program for what it sees; two that write at the same
// time may together go over it by what they have written since they opened it.
package cache
