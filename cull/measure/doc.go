// Package measure measures in the background what helps the eye: how sharp the frames
// of a job are, how much of them is clipped and, where the job said yes to it, the
// faces in them and their eyes. It saves what it finds in the job (cull/job) and gives
// templates of faces, where the job said yes to those too, to cull/people.
//
//	Run(ctx, j, Options) (Summary, error)
//
// measures what is missing: frames in the order of the job, but first those that
// somebody looks at. It works behind everything else: it begins no frame while
// Options.Busy says that somebody works. It can be ended at any time and goes on
// where it stopped; what it may lose is what was measured since the last save, some
// seconds. What nobody can measure is noted and not tried again, until the frame's
// files change; a file that cannot be read is tried the next time.
//
// The answers of [job.Job.Faces] and [job.Job.People] are read again with every save.
// What is measured never decides anything.
package measure
