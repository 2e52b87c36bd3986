package job

import (
	"context"
	"sync"
	"time"
)

// MirrorEvery is how often the journal is copied to the other destinations while
// somebody decides.
const MirrorEvery = time.Minute

// MirrorJournal copies the journal to every reachable folder of [Job.Also] each
// time that tick fires, and a last time when the returned function is called;
// that function returns when the copying has ended, and does nothing the second
// time. What goes wrong is told once, however often it happens, and stops
// nothing; say is called by the goroutine that copies.
func (j *Job) MirrorJournal(tick <-chan time.Time, say func(error)) (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	told := map[string]bool{}
	copies := func(ctx context.Context) {
		for _, err := range j.CopyJournals(ctx) {
			if text := err.Error(); !told[text] {
				told[text] = true
				say(err)
			}
		}
	}
	var done sync.WaitGroup
	done.Go(func() {
		for {
			select {
			case <-ctx.Done():
				copies(context.WithoutCancel(ctx))
				return
			case <-tick:
				copies(ctx)
			}
		}
	})
	return func() {
		cancel()
		done.Wait()
	}
}
