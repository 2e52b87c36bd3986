package copy

import (
	"context"
	"errors"
	"slices"
	"sync/atomic"

	"garner/store"
)

// pieceCount is how many pieces of a source, a buffer each, are under way at
// once: as far as the reading may be ahead of the slowest target.
const pieceCount = 4

// errNoTarget ends the reading when nobody is left to read for; each target has
// said itself what is wrong with it.
var errNoTarget = errors.New("every target has failed")

// piece is a part of the source on its way to several takers.
type piece struct {
	buf  []byte
	n    int
	left atomic.Int32 // takers that still need it
}

// pieces hands the source's pieces round. Every taker takes every piece, so the
// slowest one sets the pace and memory stays bounded.
type pieces struct {
	pool   *Pool
	room   chan struct{} // holds one for each piece under way
	takers []chan *piece
}

func newPieces(pool *Pool, takers int) *pieces {
	p := &pieces{pool: pool, room: make(chan struct{}, pieceCount)}
	for range takers {
		p.takers = append(p.takers, make(chan *piece, pieceCount))
	}
	return p
}

// next waits for room for one more piece.
func (p *pieces) next(ctx context.Context) (*piece, error) {
	select {
	case p.room <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	buf, err := p.pool.get(ctx)
	if err != nil {
		<-p.room
		return nil, err
	}
	return &piece{buf: buf}, nil
}

// drop gives back the room of a piece that nobody needs any more.
func (p *pieces) drop(pc *piece) {
	p.pool.put(pc.buf)
	<-p.room
}

// each calls f with every piece, in order. It must run until the pieces end: a
// taker that stops would stop everybody.
func (p *pieces) each(taker int, f func(b []byte)) {
	for pc := range p.takers[taker] {
		f(pc.buf[:pc.n])
		if pc.left.Add(-1) == 0 {
			p.drop(pc)
		}
	}
}

func (p *pieces) send(pc *piece) {
	pc.left.Store(int32(len(p.takers)))
	for _, t := range p.takers {
		t <- pc // has room for all that are under way
	}
}

func (p *pieces) end() {
	for _, t := range p.takers {
		close(t)
	}
}

// pump reads until the end, a failure, or nobody needs it. Whoever else reads
// from the card waits until it returns.
func (r *reading) pump(ctx context.Context, src *source, p *pieces) error {
	if r.job.Reader != nil {
		r.job.Reader.Lock()
		defer r.job.Reader.Unlock()
	}
	for end := false; !end; {
		if !slices.ContainsFunc(r.targets, (*target).alive) {
			return errNoTarget
		}
		pc, err := p.next(ctx)
		if err != nil {
			return store.Wrap("copy", src.path, err)
		}
		if pc.n, end, err = src.next(pc.buf); err != nil {
			p.drop(pc)
			return err
		}
		n := int64(pc.n)
		p.send(pc)
		r.count(n)
	}
	return src.settle()
}
