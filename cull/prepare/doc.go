// Package prepare makes a job ready to be decided: it finds the frames
// (cull/scan), makes thumbnails, renditions and fingerprints (preview), groups
// (cull/group) and saves all of it in the job (cull/job). It can be interrupted
// at any time and goes on where it stopped; what has not changed is not done
// again.
//
// The entry points, which the commands call:
//
//	Run(ctx, j, Options) (Summary, error)  everything
//	Scan(ctx, j) (Summary, error)          frames, letters and a layout without pictures
//	Regroup(j) error                       the layout anew, after a clock was corrected
package prepare
