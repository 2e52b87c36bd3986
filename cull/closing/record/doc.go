// Package record is what a bag says of its job: frames, decisions, scenes, clocks
// and measurements as JSON that is read without garner, and from which a job is made
// again.
//
// # Where it lies
//
// Each time a job is archived and something has changed, a folder is added to the bag:
// data/record/0001, 0002, … The last one counts, and is whole by itself; earlier ones
// stay, since a bag only grows. In it are
//
//	job.json       what the job is and what the other files hold: [Job]
//	frames.jsonl   a line for each frame, in the order of the day: [Frame]
//	files.jsonl    a line for each file of the job: [File]
//	pictures.jsonl a line for each finished picture: [Picture]
//	wrote.jsonl    a line for each sidecar that a handoff wrote: [Wrote]
//	journal.txt    who decided what and when, in the lines that the job keeps
//	thumbs.bin     small JPEGs one after the other; frames.jsonl says where each begins
//
// Every object has "v":1; fields are added, never renamed. Unknown is null or left
// out, times are those of the camera's clock with their zone where one is known, and a
// name that is not UTF-8 has its bytes in "raw" beside it, in base64. Templates of
// faces are never in it.
//
// # What is hostile
//
// A bag may come from anywhere: lines and files are read up to a limit, paths that leave
// the job or the bag are refused.
package record
