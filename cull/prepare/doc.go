// Package prepare makes a job ready to be decided: it finds the frames
// (cull/scan), gives new bodies their letters, makes a thumbnail, a fingerprint
// and where it is needed a rendition of every frame (preview), puts the job in
// order (cull/group), and saves all of it in the job (cull/job).
//
// The entry points, which the commands call:
//
//	Run(ctx, j, Options) (Summary, error)  everything
//	Scan(ctx, j) (Summary, error)          frames, letters and a layout without pictures
//	Regroup(j) error                       the layout anew, after a clock was corrected
//
// All of it is incremental. A file whose path, size and time are as they were
// is not read again, a picture that is in the cache is not made again. Frames
// are saved before their pictures are made, so that deciding can begin, and
// what is made is saved in batches, so that a run that is interrupted at any
// time goes on where it stopped. It takes no claim on the job and holds nothing
// open: it runs beside a decide or a station.
package prepare
