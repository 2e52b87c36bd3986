package recall

import (
	"context"
	"runtime"
	"strconv"
	"sync/atomic"

	"garner/preview/sched"
)

// each does n things, several at once. The first error ends it, as does ctx.
func each(ctx context.Context, n int, do func(ctx context.Context, at int) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	workers := min(runtime.GOMAXPROCS(0), n)
	s := sched.New[struct{}](ctx, sched.Options{Workers: workers})
	defer s.Close()
	var next atomic.Int64
	var tickets []*sched.Ticket[struct{}]
	for i := range workers {
		tickets = append(tickets, s.Submit(sched.Job[struct{}]{Key: strconv.Itoa(i), Class: sched.Background, Run: func(ctx context.Context) (struct{}, error) {
			for ctx.Err() == nil {
				at := int(next.Add(1)) - 1
				if at >= n {
					break
				}
				if err := do(ctx, at); err != nil {
					cancel(err)
				}
			}
			return struct{}{}, nil
		}}))
	}
	for _, t := range tickets {
		<-t.Done()
	}
	return context.Cause(ctx)
}
