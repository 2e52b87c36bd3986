// Package recall finds frames again: in jobs, in bags, and in shelves of bags, by when
// they were taken, where they stand and what they are called.
//
// # Places
//
// A bag is read from its last record (cull/closing/record), a job from its catalogue,
// which is only read. Of a shelf every bag counts that lies in it, one or two levels
// deep. A place that cannot be read is listed with the reason and holds no other up.
//
// # The index
//
// What is asked of a frame is in a part: one for each bag or job, column by column, so
// that a question reads a few tens of bytes a frame and nothing that it does not need.
// Of a job and of a bag that is named by itself the part is in memory; the parts of a
// shelf are kept in SHELF/.garner-shelf, or in the user's cache where that cannot be
// written, one file for each bag. They are derived and may be deleted at any time. A
// part belongs to one state of one record, and is made anew where that has changed or
// where it is damaged; parts of bags that are gone are removed. Programs that build one
// index at once write equal files, each whole before it has its name.
//
// # One frame, several places
//
// A frame that is in a job and in its bag, or in copies of one bag, is found once, and
// the best file of all of these is named. A file is named only if it is there.
//
// # Likeness
//
// What a picture may show is found by the looks that records hold (cull/recall/like). At
// the nearest a closer look is taken, with the thumbnails of the bags and of the caches of
// jobs: the picture is laid on each, and those that it fits on come first. Where no thumbnail
// is kept or can be read the look alone counts.
//
// # Faces
//
// A person is found by the templates of a job that said yes to them, or by a face that is
// picked now ([Library.FaceSearch]): then the faces of all frames that are left are
// described afresh, for this one question, and nothing of that is kept. Nobody's faces are
// looked at where a job did not say yes or the journal in a bag says no.
//
// # Security
//
// Bags come from anywhere and so do indexes: reading is bounded, and no path that a
// record or an index gives leads out of the folder of its bag, through links neither.
package recall
