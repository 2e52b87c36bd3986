package sched

import (
	"context"
	"slices"
)

// work is a job with its tickets. Its fields are guarded by the Sched's lock,
// but for value and err, which are read after done is closed.
type work[T any] struct {
	job       Job[T]
	tickets   int // of those who still want it
	queued    bool
	calledOff bool
	unseen    bool // it was not visible when it was begun
	ctx       context.Context
	cancel    context.CancelFunc // set while it runs
	done      chan struct{}
	value     T
	err       error
}

// push puts a job into the queue of its class and lets the one go that the
// class has no room for.
func (s *Sched[T]) push(w *work[T]) {
	c := w.job.Class
	if c == Visible {
		s.queues[c] = slices.Insert(s.queues[c], 0, w)
	} else {
		s.queues[c] = append(s.queues[c], w)
	}
	w.queued = true
	if q := s.queues[c]; len(q) > s.o.MaxQueue {
		out := q[0] // the oldest: of next and ahead, what was passed first
		switch c {
		case Visible:
			out = q[len(q)-1]
		case Background: // its order is all it has: the newest must come again
			out = q[len(q)-1]
		}
		s.remove(out)
		s.finish(out, ErrCrowded)
	}
	s.wake.Broadcast()
}

func (s *Sched[T]) remove(w *work[T]) {
	c := w.job.Class
	if i := slices.Index(s.queues[c], w); i >= 0 {
		s.queues[c] = slices.Delete(s.queues[c], i, i+1)
	}
	w.queued = false
}

// move gives a job another class; one that runs only remembers it.
func (s *Sched[T]) move(w *work[T], c Class) {
	if !w.queued {
		w.job.Class = c
		return
	}
	s.remove(w)
	w.job.Class = c
	s.push(w)
}

// callOff ends the interest in a job. One that waits is dropped; one that runs
// is told by its context, and a later job of its key starts afresh.
func (s *Sched[T]) callOff(w *work[T]) {
	if w.queued {
		s.remove(w)
		s.finish(w, ErrCancelled)
		s.wake.Broadcast() // it may have held back smaller ones
		return
	}
	if !w.calledOff && w.cancel != nil {
		w.calledOff = true
		w.cancel()
	}
}

// Ticket is one claim on a job.
type Ticket[T any] struct {
	s       *Sched[T]
	w       *work[T]
	dropped bool
}

func (w *work[T]) ticket(s *Sched[T]) *Ticket[T] {
	w.tickets++
	return &Ticket[T]{s: s, w: w}
}

// Done is closed when the job has ended, one way or the other.
func (t *Ticket[T]) Done() <-chan struct{} { return t.w.done }

// Result waits for the end of the job and returns what it gave. Where it was
// not done the error is ErrCancelled, ErrCrowded or ErrClosed.
func (t *Ticket[T]) Result() (T, error) {
	<-t.w.done
	return t.w.value, t.w.err
}

// Cancel gives the claim up. When nobody else claims the job it is called off.
func (t *Ticket[T]) Cancel() {
	t.s.mu.Lock()
	defer t.s.mu.Unlock()
	if t.dropped {
		return
	}
	t.dropped = true
	if t.w.tickets--; t.w.tickets == 0 && t.s.byKey[t.w.job.Key] == t.w {
		t.s.callOff(t.w)
	}
}

// SetClass makes the job more or less urgent.
func (t *Ticket[T]) SetClass(c Class) {
	t.s.mu.Lock()
	defer t.s.mu.Unlock()
	if c = min(c, Background); t.s.byKey[t.w.job.Key] == t.w && c != t.w.job.Class {
		t.s.move(t.w, c)
	}
}
