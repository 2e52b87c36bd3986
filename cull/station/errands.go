package station

import (
	"context"
	"errors"

	"garner/preview/sched"
)

// errand is something that a desk beside the station's own wants to show, or to make that
// from.
type errand[T any] struct {
	key   string // "" = nothing is wanted: it is there, or cannot be made
	class sched.Class
	bytes int64
	run   func(context.Context) (T, error)
	take  func(T)
	fail  func(error) // not of what was called off
}

// errands are run beside a desk, each once at a time.
type errands[T any] struct {
	board *board
	sched *sched.Sched[T]
	asked map[string]*sched.Ticket[T]
}

func newErrands[T any](b *board, o sched.Options) errands[T] {
	return errands[T]{b, sched.New[T](b.ctx, o), map[string]*sched.Ticket[T]{}}
}

// only asks for what is on the list and not asked for yet, in order, and calls off what is
// not on it.
func (w *errands[T]) only(list []errand[T]) {
	wanted := map[string]bool{}
	for _, l := range list {
		wanted[l.key] = true
	}
	w.sched.Retain(func(key string) bool { return wanted[key] })
	for _, l := range list {
		w.ask(l)
	}
}

func (w *errands[T]) ask(l errand[T]) {
	if l.key == "" {
		return
	}
	if ticket, ok := w.asked[l.key]; ok {
		ticket.SetClass(l.class)
		return
	}
	ticket := w.sched.Submit(sched.Job[T]{Key: l.key, Class: l.class, Bytes: l.bytes, Run: l.run})
	w.asked[l.key] = ticket
	w.board.beside(func() func() {
		m, err := ticket.Result()
		return func() {
			delete(w.asked, l.key)
			switch {
			case err == nil:
				l.take(m)
			case errors.Is(err, sched.ErrCancelled), errors.Is(err, sched.ErrCrowded), errors.Is(err, sched.ErrClosed), errors.Is(err, context.Canceled):
			default:
				l.fail(err)
			}
		}
	})
}

// close calls all work off.
func (w *errands[T]) close() {
	w.board.cancel()
	w.sched.Close()
	w.board.close()
}
