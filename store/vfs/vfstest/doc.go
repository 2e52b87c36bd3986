// Package vfstest is a file system in memory for tests: it keeps apart what is
// written and what is durable, and can therefore show how a disk may look after
// the power failed ([Mem.CrashClone]); it fails on purpose ([Mem.Inject]); it can
// behave like a card's FAT; it counts and logs what was asked of it. [Run] is the
// conformance suite that every vfs.FS has to pass, this one and the real one.
//
// # What survives a crash
//
// The content of a file as of its last Sync; of what was written after it any
// mixture of 512-byte sectors, old, new or zero, at the old size, the new one or
// one in between. The names of a folder as of its last SyncDir; of what happened
// to them after it any part, in any selection, each operation whole: a rename is
// atomic. Content and names are independent of each other, so a name may lead to
// a file whose content never arrived.
//
// # Caveats
//
// Permission bits are kept but not enforced. "a/../b" is "b" even if a is a link.
package vfstest
