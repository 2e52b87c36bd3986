package main

import (
	"context"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// mirrored keeps the copies of the journal at the job's other destinations up to
// date while this program decides; the returned function brings them up to date a
// last time.
func (d desk) mirrored(j *job.Job, say func(error)) (stop func()) {
	ticker := time.NewTicker(job.MirrorEvery)
	end := j.MirrorJournal(ticker.C, say)
	return func() {
		ticker.Stop()
		end()
	}
}

// copyJournals brings the journal to the other destinations, once.
func (d desk) copyJournals(ctx context.Context, j *job.Job) {
	for _, err := range j.CopyJournals(context.WithoutCancel(ctx)) {
		d.notCopied(err)
	}
}

func (d desk) notCopied(err error) {
	d.sayf("the journal could not be copied as it should be: %s", cull.Plain(err.Error()))
}
