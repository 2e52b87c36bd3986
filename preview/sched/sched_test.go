package sched

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
)

// bench is a Sched whose jobs run until the test lets them go. It runs in a
// bubble of testing/synctest, where Wait returns when nothing can go on.
type bench struct {
	*Sched[string]
	mu      sync.Mutex
	started []string
	gates   map[string]chan error
}

func newBench(t *testing.T, o Options) *bench {
	b := &bench{Sched: New[string](t.Context(), o), gates: map[string]chan error{}}
	t.Cleanup(b.Close)
	return b
}

func (b *bench) job(key string, c Class, bytes int64) Job[string] {
	gate := make(chan error)
	b.mu.Lock()
	b.gates[key] = gate
	b.mu.Unlock()
	return Job[string]{Key: key, Class: c, Bytes: bytes, Run: func(ctx context.Context) (string, error) {
		b.mu.Lock()
		b.started = append(b.started, key)
		b.mu.Unlock()
		select {
		case err := <-gate:
			return "done " + key, err
		case <-ctx.Done():
			return "", ctx.Err()
		}
	}}
}

// order returns what was started since the last call.
func (b *bench) order() string {
	synctest.Wait()
	b.mu.Lock()
	defer b.mu.Unlock()
	s := strings.Join(b.started, " ")
	b.started = nil
	return s
}

func (b *bench) end(key string) {
	synctest.Wait()
	b.mu.Lock()
	gate := b.gates[key]
	b.mu.Unlock()
	gate <- nil
}

func expect(t *testing.T, what, got, want string) {
	t.Helper()
	if got != want {
		t.Errorf("%s: %q, want %q", what, got, want)
	}
}

func TestUrgentFirst(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 1})
		b.Submit(b.job("first", Background, 0))
		expect(t, "alone", b.order(), "first")
		for _, j := range []struct {
			key string
			c   Class
		}{{"b1", Background}, {"a1", Ahead}, {"a2", Ahead}, {"n1", Next}, {"n2", Next}, {"v1", Visible}, {"v2", Visible}, {"b2", Background}} {
			b.Submit(b.job(j.key, j.c, 0))
		}
		expect(t, "while one runs", b.order(), "")
		var got []string
		for key := "first"; ; {
			b.end(key)
			if key = b.order(); key == "" {
				break
			}
			got = append(got, key)
		}
		expect(t, "order", strings.Join(got, " "), "v2 v1 n1 n2 a1 a2 b1 b2")
	})
}

func TestJoinAndMoveUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 1})
		b.Submit(b.job("running", Visible, 0))
		b.order()
		one := b.Submit(b.job("x", Ahead, 0))
		b.Submit(b.job("y", Next, 0))
		again := b.job("x", Visible, 0)
		again.Run = func(context.Context) (string, error) { return "", errors.New("the second Run") }
		two := b.Submit(again)
		if l := b.Load(); l.Waiting != [4]int{1, 1, 0, 0} {
			t.Errorf("waiting %v", l.Waiting)
		}
		if one.w != two.w {
			t.Error("the same key is two jobs")
		}
		// Asking for it as something less urgent does not move it back.
		b.Submit(Job[string]{Key: "x", Class: Background})
		if l := b.Load(); l.Waiting != [4]int{1, 1, 0, 0} {
			t.Errorf("waiting %v", l.Waiting)
		}
		b.end("running")
		expect(t, "next", b.order(), "x")
	})
}

func TestSetClass(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 1})
		b.Submit(b.job("running", Visible, 0))
		b.order()
		x := b.Submit(b.job("x", Background, 0))
		y := b.Submit(b.job("y", Visible, 0))
		x.SetClass(Next)
		y.SetClass(Ahead)
		b.end("running")
		expect(t, "first", b.order(), "x")
		b.end("x")
		expect(t, "second", b.order(), "y")
		x.SetClass(Visible) // long done: nothing happens
		b.end("y")
		if got, err := y.Result(); got != "done y" || err != nil {
			t.Errorf("%q, %v", got, err)
		}
	})
}

func TestCancel(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 1})
		run := b.Submit(b.job("run", Visible, 0))
		b.order()
		wait1, wait2 := b.Submit(b.job("wait", Next, 0)), b.Submit(Job[string]{Key: "wait", Class: Next})
		wait1.Cancel()
		wait1.Cancel() // once more is no other claim
		if l := b.Load(); l.Waiting[Next] != 1 {
			t.Fatal("called off although somebody wants it")
		}
		wait2.Cancel()
		if _, err := wait2.Result(); !errors.Is(err, ErrCancelled) {
			t.Errorf("a waiting job: %v", err)
		}
		run.Cancel()
		if v, err := run.Result(); !errors.Is(err, ErrCancelled) || v != "" {
			t.Errorf("a running job: %q, %v", v, err)
		}
		if l := b.Load(); l != (Load{}) {
			t.Errorf("left: %+v", l)
		}
	})
}

// Asked for again while its called-off run has not ended yet: done afresh.
func TestCancelledThenWantedAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := New[int](t.Context(), Options{Workers: 2})
		defer s.Close()
		stubborn := make(chan struct{})
		first := s.Submit(Job[int]{Key: "k", Run: func(context.Context) (int, error) { <-stubborn; return 1, nil }})
		synctest.Wait()
		first.Cancel()
		second := s.Submit(Job[int]{Key: "k", Run: func(context.Context) (int, error) { return 2, nil }})
		if v, err := second.Result(); v != 2 || err != nil {
			t.Errorf("the second gave %d, %v", v, err)
		}
		close(stubborn)
		if _, err := first.Result(); !errors.Is(err, ErrCancelled) {
			t.Errorf("the first: %v", err)
		}
	})
}

func TestRetain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 2})
		passed := b.Submit(b.job("passed", Visible, 0))
		here := b.Submit(b.job("here", Visible, 0))
		b.order()
		b.Submit(b.job("ahead", Ahead, 0))
		gone := b.Submit(b.job("gone", Ahead, 0))
		b.Submit(b.job("work", Background, 0))
		b.Retain(func(key string) bool { return key == "here" || key == "ahead" })
		for _, ticket := range []*Ticket[string]{passed, gone} {
			if _, err := ticket.Result(); !errors.Is(err, ErrCancelled) {
				t.Errorf("%s: %v", ticket.w.job.Key, err)
			}
		}
		expect(t, "the freed worker", b.order(), "ahead")
		b.end("here")
		if v, err := here.Result(); v != "done here" || err != nil {
			t.Errorf("%q, %v", v, err)
		}
		expect(t, "background", b.order(), "work")
	})
}

func TestBytesInFlight(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 4, MaxBytes: 100})
		b.Submit(b.job("a", Next, 60))
		expect(t, "60 of 100", b.order(), "a")
		b.Submit(b.job("b", Next, 40))
		expect(t, "100 of 100", b.order(), "b")
		b.Submit(b.job("large", Next, 300)) // runs when nothing else does
		b.Submit(b.job("small", Ahead, 1))  // and holds this one back
		expect(t, "over", b.order(), "")
		b.end("a")
		expect(t, "one is left", b.order(), "")
		b.end("b")
		expect(t, "alone", b.order(), "large")
		b.Submit(b.job("visible", Visible, 1))
		expect(t, "beside the large one", b.order(), "")
		b.end("large")
		if got := b.order(); got != "visible small" && got != "small visible" {
			t.Errorf("both fit: %q", got)
		}
		if l := b.Load(); l.Bytes != 2 || l.Running != 2 {
			t.Errorf("%+v", l)
		}
	})
}

// A job that held others back and is called off frees them, all that fit.
func TestCancelFreesThoseBehind(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 4, MaxBytes: 100})
		b.Submit(b.job("a", Next, 60))
		b.order()
		large := b.Submit(b.job("large", Next, 300))
		b.Submit(b.job("s1", Ahead, 5))
		b.Submit(b.job("s2", Ahead, 5))
		expect(t, "held back", b.order(), "")
		large.Cancel()
		if got := b.order(); got != "s1 s2" && got != "s2 s1" {
			t.Errorf("freed: %q", got)
		}
	})
}

// A held key asks for a picture with every repeat. Nothing may grow, and the
// last one asked for is the one that is done next.
func TestHeldKey(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 1, MaxQueue: 8})
		b.Submit(b.job("0", Visible, 0))
		b.order()
		var tickets []*Ticket[string]
		for i := 1; i <= 1000; i++ {
			tickets = append(tickets, b.Submit(b.job(fmt.Sprint(i), Visible, 0)))
			if l := b.Load(); l.Waiting[Visible] > 8 {
				t.Fatalf("%d wait after %d repeats", l.Waiting[Visible], i)
			}
		}
		crowded := 0
		for _, ticket := range tickets {
			select {
			case <-ticket.Done():
				if _, err := ticket.Result(); !errors.Is(err, ErrCrowded) {
					t.Fatalf("not done, but %v", err)
				}
				crowded++
			default:
			}
		}
		if crowded != 992 {
			t.Errorf("%d of 1000 made way", crowded)
		}
		b.end("0")
		expect(t, "next", b.order(), "1000")
	})
}

// What is looked at never waits for what is done ahead.
func TestSpareWorkers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 3, Spare: 1})
		var last *Ticket[string]
		for _, key := range []string{"a1", "a2", "a3", "a4"} {
			last = b.Submit(b.job(key, Ahead, 0))
		}
		expect(t, "ahead", b.order(), "a1 a2")
		b.Submit(b.job("v1", Visible, 0))
		expect(t, "visible", b.order(), "v1")
		b.end("v1")
		expect(t, "its worker is spared", b.order(), "")
		b.end("a1")
		expect(t, "the next ahead", b.order(), "a3")
		last.SetClass(Visible)
		expect(t, "what is looked at now", b.order(), "a4")
		b.end("a4")
		b.end("a2")
		b.end("a3")
	})
	s := New[int](t.Context(), Options{Workers: 1, Spare: 4})
	defer s.Close()
	if n, err := s.Submit(Job[int]{Key: "a", Class: Ahead, Run: func(context.Context) (int, error) { return 7, nil }}).Result(); n != 7 || err != nil {
		t.Errorf("with one worker: %d, %v", n, err)
	}
}

func TestWhoMakesWay(t *testing.T) {
	for c, want := range map[Class]string{Visible: "2 3", Next: "2 3", Ahead: "2 3", Background: "1 2"} {
		synctest.Test(t, func(t *testing.T) {
			b := newBench(t, Options{Workers: 1, MaxQueue: 2})
			b.Submit(b.job("running", Visible, 0))
			b.order()
			for _, k := range []string{"1", "2", "3"} {
				b.Submit(b.job(k, c, 0))
			}
			var left []string
			for _, w := range b.queues[c] {
				left = append(left, w.job.Key)
			}
			slices.Sort(left)
			expect(t, fmt.Sprint("class ", c), strings.Join(left, " "), want)
		})
	}
}

func TestClose(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := newBench(t, Options{Workers: 2})
		runs := b.Submit(b.job("runs", Visible, 0))
		b.Submit(b.job("runs too", Visible, 0))
		b.order()
		waits := b.Submit(b.job("waits", Visible, 0))
		b.Close()
		if _, err := runs.Result(); !errors.Is(err, context.Canceled) {
			t.Errorf("running: %v", err)
		}
		if _, err := waits.Result(); !errors.Is(err, ErrClosed) {
			t.Errorf("waiting: %v", err)
		}
		if _, err := b.Submit(b.job("late", Visible, 0)).Result(); !errors.Is(err, ErrClosed) {
			t.Errorf("late: %v", err)
		}
		b.Close() // again
	}) // synctest fails if a goroutine is left
}

func TestTheContextEndsEverything(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		s := New[int](ctx, Options{})
		defer s.Close()
		running := s.Submit(Job[int]{Key: "a", Run: func(ctx context.Context) (int, error) { <-ctx.Done(); return 0, ctx.Err() }})
		synctest.Wait()
		ran := false
		waiting := s.Submit(Job[int]{Key: "b", Run: func(context.Context) (int, error) { ran = true; return 0, nil }})
		synctest.Wait()
		cancel()
		if _, err := running.Result(); !errors.Is(err, context.Canceled) {
			t.Errorf("running: %v", err)
		}
		if _, err := waiting.Result(); !errors.Is(err, ErrCancelled) || ran {
			t.Errorf("waiting: %v, ran %v", err, ran)
		}
	})
}

func TestAFaultIsAnError(t *testing.T) {
	s := New[int](t.Context(), Options{})
	defer s.Close()
	_, err := s.Submit(Job[int]{Key: "k", Run: func(context.Context) (int, error) { panic("broken picture") }}).Result()
	if err == nil || !strings.Contains(err.Error(), "broken picture") {
		t.Errorf("%v", err)
	}
	if v, err := s.Submit(Job[int]{Key: "k", Run: func(context.Context) (int, error) { return 7, nil }}).Result(); v != 7 || err != nil {
		t.Errorf("the worker did not live on: %d, %v", v, err)
	}
}
