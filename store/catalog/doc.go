// Package catalog keeps the records of one job in a single bbolt file. It is the
// only importer of bbolt and knows nothing of frames, passes or pictures beyond
// the plain record structs that it stores.
//
// # Transactions
//
// A [DB] holds no file open. [DB.View] and [DB.Update] each take the lock, open
// the file, run one transaction and close everything again, so that several
// programs can work on one job side by side; nothing is ever held across a wait
// for a person. When Update returns nil the transaction is on the disk: bbolt has
// synced the pages and then the meta page that makes them valid.
//
// # The lock file and the clean mark
//
// Beside FILE lies FILE.lock. It carries the lock (shared for View, exclusive
// for Update) and the clean mark: transaction number, size and modification
// time of FILE as the last program left it, written after each commit. When the
// mark fits, a file is opened at once. When it does not (a program was killed,
// the file was restored, cut or flipped), the whole file is examined first, see
// [DB.Examine]: a damaged bbolt file would crash a careless reader or send it in
// circles. The mark is not synced: it is written after the commit that it
// describes, so after a power failure it is at worst too old, and too old only
// costs an examination.
//
// # Records
//
// Every value is a version byte, a payload and a CRC-32C (RFC 3720, appendix
// B.4) over bucket, key, version and payload; a value that wandered to another
// key is found out too. The encoding is canonical: decoding and encoding again
// gives the same bytes. A decoder allocates no more than a small multiple of the
// bytes it is given.
//
// # Caveats
//
// Records and keys given to callers are copies and stay valid after the
// transaction. A function passed to Update may not call View or Update of the
// same file: it would wait for itself. Numbers inside bbolt pages have the byte
// order of the machine; garner is built for little-endian machines only.
package catalog
