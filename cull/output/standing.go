package output

import (
	"context"
	"errors"

	"garner/cull/job"
)

// Standing is how far a job's sets are, as far as names and sizes tell.
type Standing struct {
	Finished int            // pictures in finished/
	Waiting  int            // of them, those that a set lacks, or that have changed since they were cut
	Sets     map[string]int // files that were cut, by set
}

// Stands looks at finished/ and at what is noted of the sets; no picture is opened.
func Stands(ctx context.Context, j *job.Job) (Standing, error) {
	st := Standing{Sets: map[string]int{}}
	f, err := find(ctx, j.Root())
	if err != nil && !errors.Is(err, ErrNothing) {
		return st, err
	}
	l, err := openLedger(ledgerPath(j.Root()))
	if err != nil {
		return st, err
	}
	for _, r := range l.files {
		if set, counts := pictureOf(r.Set); r.Cut != "" && counts {
			st.Sets[set]++
		}
	}
	sets, _ := Choose(Sets(j.Settings()), nil)
	st.Finished = len(f.files)
	for _, x := range f.files {
		p := l.pictures[x.path]
		waits := p.Bytes != x.size || p.Changed != x.modified
		for _, s := range parts(sets) {
			waits = waits || l.files[fileKey{s.Name, x.path}].Cut == ""
		}
		if waits {
			st.Waiting++
		}
	}
	return st, nil
}
