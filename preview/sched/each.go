package sched

import (
	"context"
	"runtime"
	"strconv"
	"sync/atomic"
)

// Each does n things, as many at once as there are processors. The first error ends it,
// as does ctx.
func Each(ctx context.Context, n int, do func(ctx context.Context, at int) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	workers := min(runtime.GOMAXPROCS(0), n)
	s := New[struct{}](ctx, Options{Workers: workers})
	defer s.Close()
	var next atomic.Int64
	var tickets []*Ticket[struct{}]
	for i := range workers {
		tickets = append(tickets, s.Submit(Job[struct{}]{Key: strconv.Itoa(i), Class: Background, Run: func(ctx context.Context) (struct{}, error) {
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
