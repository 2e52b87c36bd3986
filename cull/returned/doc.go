// Package returned finds out which frames the pictures show that came back from the
// editor, and says before anything is made of them what is missing or odd.
//
// # How
//
// [Find] is a pure function. Of each picture it asks four things, each of which names
// some frames or nothing:
//
//   - what it was made of: ids of documents (XMP Part 1 §8.6) that sidecars of frames
//     have too, names of files that it says it comes from;
//   - when and with what it was taken: the time as the body's clock showed it or as
//     garner corrected it, as fine as both say it, the body's serial number and model;
//   - its name, in which a frame's name stands (0412-A-IMG_0001-2.tif);
//   - what it looks like: the frames that it may be a crop of (pix.Query), whatever
//     happened to its colours.
//
// Frames that all of these name, and nothing speaks against, are what it shows. Where
// they name different frames, it stays open and the reasons are said. Likeness tells
// moments apart, never the frames of one burst: there something else has to name the
// frame, or a closer look (preview/pix/overlay), for which [Match] opens the picture and
// the frames of the burst again: wherever they differ, the picture has to be as one of
// them. That one was kept and the others dropped is no reason, only a proposal: somebody
// may give back another one. Several pictures of one frame are versions of it; one of
// frames that were answered part is their merge.
//
// What a person says ([garner/cull/job.Job.SetFinished]) is never questioned.
package returned
