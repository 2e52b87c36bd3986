// Package store says what garner promises about bytes on a disk: the durability
// contract below, the errors that tell why a promise could not be kept, and the
// digests that prove that it was. The packages below it keep the promises.
//
// # Words
//
// Written: the call returned, the bytes are in the system's cache; a killed
// program loses nothing, a power failure may. Durable: the bytes, and the name
// that leads to them, have been synced; a power failure after the call returned
// loses nothing, as far as the device obeys a flush. Partial: a file with a name
// of the form .NAME.TOKEN.garner-partial beside its target (see [PartialName]).
// It was never promised to anybody and may be deleted whenever no garner is
// writing into that folder.
//
// # What is on disk when a call returns
//
//	call                      on success                             on failure
//	vfs.MkdirAll              every made folder is durable           some of the parents may have been made
//	atomicfile.WriteFile      new content, durable                   old content whole, or the file absent as before
//	atomicfile.Writer.Commit  as WriteFile                           as WriteFile
//	manifest.Save, Add        as WriteFile                           as WriteFile
//	copy.File, a target       content equal to the source, read      absent as before, or what was there, untouched
//	                          back, durable, under its final name
//	archive.Grow, a place     every file read back, durable, listed;     what was listed before still is; the next
//	                          manifests and all tag files too            call completes it, and Check tells of it
//	erasable.File.Replace     new content, durable, former content   former or new content, whole;
//	                          overwritten                            the next call cleans up
//	catalog.DB.Update         transaction durable                    as before the call
//	vfs.FS.Rename             name written (durable after SyncDir)   as before the call
//
// One failure leaves more than it promised: when the folder's sync fails after
// the rename, the new file stands under its final name, whole, but is not yet
// known to be durable. The call returns the error, whose operation is "sync
// folder", and nothing is taken back: removing a name after a rename that worked
// could remove somebody else's file. Calling again repairs it.
//
// # What may leave a partial
//
// A kill or power failure between creating and renaming; a device that went away
// (the partial could not be removed either). Every other failure removes its
// partial. A partial is never completed later, only swept and begun anew:
// nothing is known about its bytes. atomicfile.Sweep removes them, at the start
// of a work, not at its end.
//
// # What a power failure in the middle of a call may leave
//
// A file under its final name is the old one or the new one, each whole, or it is
// absent as before, with or without a partial beside it. It is never a mixture,
// never short and never of zero length, because the content is synced before the
// rename makes it reachable. Tests hold every operation to this with the crash
// clones of vfs/vfstest, which lose, tear and reorder whatever was not synced; and
// package copy to cuts of the power of a real Linux on ext4 and FAT32.
//
// # Caveats
//
// A kill does not lose the system's cache: tests that kill show that the logic is
// right, not that the syncs are. Read-back past the cache shows what the device
// returns; a device may answer from a memory of its own, and one that is really
// a file (a loop device, a virtual machine's disk) from the cache of that file.
// Where the file system keeps a cache of its own (FUSE, ZFS, servers) read-back
// is not said to have been past it. On Windows a folder
// can't be synced; renames there are written through instead. On FAT a power
// failure may leave a partial under its short name (IMG_00~1.GAR), which is not
// swept. Where a file system
// knows no rename that refuses to replace (FAT and exFAT on some systems, FUSE)
// there is a moment between looking and renaming in which another program could
// create the target and lose it; garner never races with itself there.
package store
