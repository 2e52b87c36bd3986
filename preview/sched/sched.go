package sched

import (
	"context"
	"errors"
	"fmt"
	"sync"
)

// Class says how soon a job is needed.
type Class uint8

// The classes, the most urgent first. Of visible jobs the newest is done first,
// since it is what the user looks at; of the others the oldest.
const (
	Visible Class = iota
	Next
	Ahead
	Background
	classes
)

// The errors of a Ticket whose job was not done.
var (
	ErrCancelled = errors.New("called off")                // nobody wants it any more
	ErrCrowded   = errors.New("too much of a class waits") // it made way for newer work of its class
	ErrClosed    = errors.New("closed")                    // the Sched was closed
)

// Options bound a Sched.
type Options struct {
	Workers  int   // jobs that run at once; 0 = 1
	MaxBytes int64 // what running jobs may hold together; 0 = no bound. A larger job runs alone
	MaxQueue int   // jobs that may wait in each class; 0 = DefaultQueue
	// Spare is how many workers do nothing but visible jobs, so that one never
	// waits for what is done ahead; fewer than Workers.
	Spare int
}

// DefaultQueue is how many jobs may wait in each class where Options say nothing.
const DefaultQueue = 256

// Job is one piece of work.
type Job[T any] struct {
	Key   string // jobs of one key are one job
	Class Class
	Bytes int64 // what it holds while it runs
	Run   func(context.Context) (T, error)
}

// Sched runs jobs. Its methods may be called by several goroutines.
type Sched[T any] struct {
	o      Options
	cancel context.CancelFunc
	ctx    context.Context // parent of every job's context
	done   sync.WaitGroup

	mu      sync.Mutex
	wake    *sync.Cond
	queues  [classes][]*work[T] // in the order of being done
	byKey   map[string]*work[T] // waiting or running
	running int
	unseen  int // of those, what was not visible when it was begun
	bytes   int64
	closed  bool
}

// New starts the workers. They end with Close; when ctx ends every job is
// called off.
func New[T any](ctx context.Context, o Options) *Sched[T] {
	o.Workers = max(o.Workers, 1)
	o.Spare = min(max(o.Spare, 0), o.Workers-1)
	if o.MaxQueue <= 0 {
		o.MaxQueue = DefaultQueue
	}
	s := &Sched[T]{o: o, byKey: map[string]*work[T]{}}
	s.ctx, s.cancel = context.WithCancel(ctx)
	s.wake = sync.NewCond(&s.mu)
	for range o.Workers {
		s.done.Go(s.worker)
	}
	return s
}

// Close calls everything off and returns when no job runs any more.
func (s *Sched[T]) Close() {
	s.mu.Lock()
	s.closed = true
	for _, queue := range s.queues {
		for _, w := range queue {
			s.finish(w, ErrClosed)
		}
	}
	s.queues = [classes][]*work[T]{}
	s.mu.Unlock()
	s.cancel()
	s.wake.Broadcast()
	s.done.Wait()
}

// Submit asks for a job. It never waits. A job of the same key that waits or
// runs is joined, and moves up if this one is more urgent; its own Run counts.
// Every Ticket must be read to its end or cancelled.
func (s *Sched[T]) Submit(j Job[T]) *Ticket[T] {
	s.mu.Lock()
	defer s.mu.Unlock()
	j.Class = min(j.Class, Background)
	w, ok := s.byKey[j.Key]
	if ok && !w.calledOff {
		t := w.ticket(s)
		if j.Class < w.job.Class {
			s.move(w, j.Class)
		}
		return t
	}
	w = &work[T]{job: j, done: make(chan struct{})}
	t := w.ticket(s)
	if s.closed {
		w.err = ErrClosed
		close(w.done)
		return t
	}
	s.byKey[j.Key] = w
	s.push(w)
	return t
}

// Retain calls off all work but that of the background and that whose key is
// wanted: what the user walked past.
func (s *Sched[T]) Retain(wanted func(key string) bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for key, w := range s.byKey {
		if w.job.Class != Background && !wanted(key) {
			s.callOff(w)
		}
	}
}

// Load is what a Sched has to do.
type Load struct {
	Running int
	Bytes   int64
	Waiting [4]int // by class
}

// Load returns what runs and waits now.
func (s *Sched[T]) Load() Load {
	s.mu.Lock()
	defer s.mu.Unlock()
	l := Load{Running: s.running, Bytes: s.bytes}
	for c, q := range s.queues {
		l.Waiting[c] = len(q)
	}
	return l
}

func (s *Sched[T]) worker() {
	for {
		w := s.take()
		if w == nil {
			return
		}
		value, err := w.run()
		s.mu.Lock()
		s.running--
		if w.unseen {
			s.unseen--
		}
		s.bytes -= w.job.Bytes
		w.value = value
		if w.calledOff {
			err = ErrCancelled
		}
		s.finish(w, err)
		s.mu.Unlock()
		s.wake.Broadcast() // its bytes are free: several waiting ones may fit now
	}
}

// take waits for the most urgent job that the bytes allow; nil means closed. A
// job that does not fit yet holds back the ones behind it, else a large visible
// picture would wait for ever behind small ones ahead.
func (s *Sched[T]) take() *work[T] {
	s.mu.Lock()
	defer s.mu.Unlock()
	for !s.closed {
		if w := s.first(); w != nil && s.fits(w) {
			s.remove(w)
			s.running++
			if w.unseen = w.job.Class != Visible; w.unseen {
				s.unseen++
			}
			s.bytes += w.job.Bytes
			w.ctx, w.cancel = context.WithCancel(s.ctx)
			return w
		}
		s.wake.Wait()
	}
	return nil
}

func (s *Sched[T]) fits(w *work[T]) bool {
	if w.job.Class != Visible && s.unseen >= s.o.Workers-s.o.Spare {
		return false
	}
	return s.o.MaxBytes <= 0 || s.running == 0 || s.bytes+w.job.Bytes <= s.o.MaxBytes
}

func (s *Sched[T]) first() *work[T] {
	for _, q := range s.queues {
		if len(q) > 0 {
			return q[0]
		}
	}
	return nil
}

// finish gives a job its end; a nil err means that value counts.
func (s *Sched[T]) finish(w *work[T], err error) {
	w.err = err
	if s.byKey[w.job.Key] == w {
		delete(s.byKey, w.job.Key)
	}
	if w.cancel != nil {
		w.cancel()
	}
	close(w.done)
}

// run does the job; a panic in it is its error and not the end of the program.
func (w *work[T]) run() (value T, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("fault while working on %s: %v", w.job.Key, p)
		}
	}()
	if w.ctx.Err() != nil { // the Sched's own context has ended
		return value, ErrCancelled
	}
	return w.job.Run(w.ctx)
}
