package sched

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"
)

// Whatever is submitted, joined, moved and cancelled: every ticket ends, the
// bounds hold at every start, and nothing is left over.
func TestAnySequence(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := Options{
			Workers:  rapid.IntRange(1, 4).Draw(t, "workers"),
			MaxBytes: int64(rapid.IntRange(0, 20).Draw(t, "bytes")),
			MaxQueue: rapid.IntRange(1, 5).Draw(t, "queue"),
		}
		s := New[string](context.Background(), o)
		var running, held atomic.Int64
		var broken atomic.Bool
		var tickets []*Ticket[string]
		keys := map[*Ticket[string]]string{}
		for range rapid.IntRange(1, 60).Draw(t, "steps") {
			switch n := len(tickets); rapid.IntRange(0, 5).Draw(t, "step") {
			case 0:
				if n > 0 {
					tickets[rapid.IntRange(0, n-1).Draw(t, "which")].Cancel()
				}
			case 1:
				if n > 0 {
					tickets[rapid.IntRange(0, n-1).Draw(t, "which")].SetClass(Class(rapid.IntRange(0, 5).Draw(t, "class")))
				}
			case 2:
				keep := fmt.Sprint(rapid.IntRange(0, 9).Draw(t, "keep"))
				s.Retain(func(key string) bool { return key == keep })
			default:
				key := fmt.Sprint(rapid.IntRange(0, 9).Draw(t, "key"))
				bytes := int64(rapid.IntRange(0, 25).Draw(t, "size"))
				ticket := s.Submit(Job[string]{Key: key, Class: Class(rapid.IntRange(0, 3).Draw(t, "class")), Bytes: bytes,
					Run: func(context.Context) (string, error) {
						if running.Add(1) > int64(o.Workers) {
							broken.Store(true)
						}
						if h := held.Add(bytes); o.MaxBytes > 0 && h > o.MaxBytes && h != bytes {
							broken.Store(true)
						}
						held.Add(-bytes)
						running.Add(-1)
						return key, nil
					}})
				tickets, keys[ticket] = append(tickets, ticket), key
			}
			for c, n := range s.Load().Waiting {
				if n > o.MaxQueue {
					t.Fatalf("%d wait in class %d", n, c)
				}
			}
		}
		for _, ticket := range tickets {
			v, err := ticket.Result() // hangs here if one was lost
			switch {
			case err == nil && v != keys[ticket]:
				t.Fatalf("%s got the result of %s", keys[ticket], v)
			case err != nil && !errors.Is(err, ErrCancelled) && !errors.Is(err, ErrCrowded):
				t.Fatal(err)
			}
		}
		s.Close()
		if broken.Load() {
			t.Fatal("more ran at once than the bounds allow")
		}
		if l := s.Load(); l != (Load{}) || len(s.byKey) != 0 {
			t.Fatalf("left over: %+v, %d keys", l, len(s.byKey))
		}
	})
}
