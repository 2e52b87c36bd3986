package station

import (
	"context"
	"fmt"
	"runtime/debug"
	"sync"
	"time"
)

// board is what the desks beside the station's own have in common: work next to
// them that brings news, something that is said, and keys that may be held. Its methods
// belong to one goroutine, but for Next.
type board struct {
	now    func() time.Time
	ctx    context.Context
	cancel context.CancelFunc
	work   sync.WaitGroup
	news   chan Brought
	under  int // pieces of work that are under way, or not taken in yet

	hold    hold
	notice  Notice
	version uint64
	broke   error
}

// Brought is what the work of a desk has brought. It goes from Next to Take unread.
type Brought struct{ take func() }

func newBoard(now func() time.Time) board {
	if now == nil {
		now = time.Now
	}
	ctx, cancel := context.WithCancel(context.Background())
	return board{now: now, ctx: ctx, cancel: cancel, news: make(chan Brought)}
}

// close waits for the work, which has to end with the context.
func (b *board) close() {
	b.cancel()
	b.work.Wait()
}

// beside runs work next to the desk; what it returns is done when the news is taken in.
// A fault in it is news, since the terminal has to be put in order before the program
// ends.
func (b *board) beside(work func() (take func())) {
	b.under++
	b.work.Go(func() {
		take := b.fenced(work)
		select {
		case b.news <- Brought{take}:
		case <-b.ctx.Done():
		}
	})
}

func (b *board) fenced(work func() func()) (take func()) {
	defer func() {
		if fault := recover(); fault != nil {
			broke := fmt.Errorf("a fault in the station: %v\n%s", fault, debug.Stack())
			take = func() { b.broke = broke }
		}
	}()
	return work()
}

// Next waits for news and returns it; false when the desk was closed. It may be called
// from another goroutine than the desk's own, by one at a time.
func (b *board) Next() (Brought, bool) {
	select {
	case n := <-b.news:
		return n, true
	case <-b.ctx.Done():
		return Brought{}, false
	}
}

func (b *board) take(n Brought) {
	b.under--
	n.take()
	b.version++
}

// Busy reports that news is to come.
func (b *board) Busy() bool { return b.under > 0 }

// Broke returns what makes it impossible to go on; nil = nothing.
func (b *board) Broke() error { return b.broke }

// Version grows with everything that may change what is to be seen.
func (b *board) Version() uint64 { return b.version }

// Notice is the last thing that was said.
func (b *board) Notice() Notice { return b.notice }

func (b *board) say(kind NoticeKind, text string) {
	b.notice = Notice{Text: text, Kind: kind, Number: b.notice.Number + 1}
	b.version++
}

// Refuse says why a key cannot act.
func (b *board) Refuse(why string) { b.say(Refused, why) }

// Remark says something that the person should know once.
func (b *board) Remark(text string) { b.say(Said, text) }

// settled takes away what was said about a key that could not act, once another one
// has.
func (b *board) settled() {
	if b.notice.Kind == Refused {
		b.notice = Notice{Number: b.notice.Number}
		b.version++
	}
}

// Held takes in an event of a key, and reports whether it is the key that was pressed
// before, held down.
func (b *board) Held(p Press) bool { return b.hold.press(p).repeat }
