package sched

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
)

func TestEachDoesAllOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		done := make([]atomic.Int32, n)
		if err := Each(t.Context(), n, func(_ context.Context, at int) error { done[at].Add(1); return nil }); err != nil {
			t.Errorf("%d: %v", n, err)
		}
		for at := range done {
			if got := done[at].Load(); got != 1 {
				t.Fatalf("%d of %d is done %d times", at, n, got)
			}
		}
	}
}

func TestEachEndsWithTheFirstError(t *testing.T) {
	broken := errors.New("broken")
	var done atomic.Int32
	err := Each(t.Context(), 1_000_000, func(ctx context.Context, at int) error {
		if done.Add(1); at == 3 {
			return broken
		}
		return nil
	})
	if !errors.Is(err, broken) || done.Load() == 1_000_000 {
		t.Errorf("%v after %d", err, done.Load())
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := Each(ctx, 3, func(context.Context, int) error { return nil }); !errors.Is(err, context.Canceled) {
		t.Errorf("called off: %v", err)
	}
}
