// Package job keeps one job on disk: its frames, bodies and order, and what was
// decided. It joins the catalogue (store/catalog), the journal as text beside
// it, the lock for deciding and the manifest.
//
// # What is on the disk when a call returns
//
// [Job.Append] commits state and journal in one transaction of the catalogue;
// that commit is synced, and it is what makes a decision durable. Then the
// entries' lines are written to journal.txt, in one write, without a sync of
// their own: they are there when the program is killed, and after a power
// failure lines that did not get to the disk are added again from the catalogue
// when the job is opened. journal.txt is synced when a claim is released and
// when the job is closed. Only then, or after the line, is a decision
// acknowledged.
//
// [Job.SaveFrames], [Job.SaveLayout] and the other Save, Put and Set calls are
// one synced transaction each. [Job.RecordManifest] and [Job.CopyJournal]
// replace a file: it is old or new, never half.
//
// # What opening mends
//
// A catalogue that is damaged is set aside as catalog.db.damaged-N and made
// anew: from the records that can still be read, and from journal.txt. So is a
// catalogue that is missing or empty. Entries that journal.txt has and the
// catalogue lacks (it came from a backup) are taken in; lines that journal.txt
// lacks are added; a torn last line is cut off; damaged lines elsewhere are
// passed over and stay in the file. [Job.Recovered] says what was done.
//
// # Where decisions go besides
//
// The journal is copied to every folder of [Job.Also] that can be reached: by
// [Job.MirrorJournal] while somebody decides, once by whatever else writes into it.
// Opening such a folder brings every decision back. Which folders these are, and
// which files are known to be damaged, stands in the journal too and outlives the
// catalogue; what is recorded of cards does not.
//
// # Who may decide
//
// [Job.Claim] is for whoever decides. Everything else, reading and preparing,
// goes on beside it: no transaction is ever held across a wait.
package job
