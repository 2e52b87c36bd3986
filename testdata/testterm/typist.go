package testterm

import (
	"container/heap"
	"io"
	"sync"
	"time"
)

// Stroke is a key at a time, counted from the call of Schedule.
type Stroke struct {
	At    time.Duration
	Key   string
	Event KeyEvent // zero is Press
}

// Held is the strokes of a key held down: the press at 0, a repeat after first
// and then one every so often until the key is let go at total.
func Held(key string, first, every, total time.Duration) []Stroke {
	strokes := []Stroke{{0, key, Press}}
	for at := first; at < total && every > 0; at += every {
		strokes = append(strokes, Stroke{at, key, Repeat})
	}
	return append(strokes, Stroke{total, key, Release})
}

// typist writes to a program's input, each thing at its time, in one order.
// One goroutine with one timer does it, so that times are exact and a slow
// program holds up nobody else.
type typist struct {
	out   io.Writer
	mu    sync.Mutex
	queue strokeQueue
	count int
	wake  chan struct{}
	quit  chan struct{}
	done  chan struct{}
}

type queued struct {
	due   time.Time
	nth   int
	bytes func() []byte      // made when it is due: the encoding may change
	typed func(at time.Time) // may be nil
}

func newTypist(out io.Writer) *typist {
	t := &typist{out: out, wake: make(chan struct{}, 1), quit: make(chan struct{}), done: make(chan struct{})}
	go t.run()
	return t
}

func (t *typist) add(due time.Time, bytes func() []byte, typed func(time.Time)) {
	t.mu.Lock()
	t.count++
	heap.Push(&t.queue, queued{due, t.count, bytes, typed})
	t.mu.Unlock()
	select {
	case t.wake <- struct{}{}:
	default:
	}
}

// stop ends the goroutine; what is not due yet is never typed. The writer has
// to be closed before, or a write could hold it up.
func (t *typist) stop() {
	close(t.quit)
	<-t.done
}

func (t *typist) run() {
	defer close(t.done)
	timer := time.NewTimer(time.Hour)
	defer timer.Stop()
	for {
		next, ok, wait := t.next()
		if ok {
			if b := next.bytes(); len(b) > 0 {
				if _, err := t.out.Write(b); err != nil {
					return
				}
			}
			if next.typed != nil {
				next.typed(time.Now())
			}
			continue
		}
		timer.Reset(wait)
		select {
		case <-timer.C:
		case <-t.wake:
		case <-t.quit:
			return
		}
	}
}

// next takes what is due, or says how long nothing is.
func (t *typist) next() (queued, bool, time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if len(t.queue) == 0 {
		return queued{}, false, time.Hour
	}
	if wait := time.Until(t.queue[0].due); wait > 0 {
		return queued{}, false, wait
	}
	return heap.Pop(&t.queue).(queued), true, 0
}

// strokeQueue is a heap by time, then by order of arrival.
type strokeQueue []queued

func (q strokeQueue) Len() int { return len(q) }
func (q strokeQueue) Less(i, j int) bool {
	if !q[i].due.Equal(q[j].due) {
		return q[i].due.Before(q[j].due)
	}
	return q[i].nth < q[j].nth
}
func (q strokeQueue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *strokeQueue) Push(x any)   { *q = append(*q, x.(queued)) }
func (q *strokeQueue) Pop() any {
	old := *q
	last := old[len(old)-1]
	*q = old[:len(old)-1]
	return last
}
