package copy

import (
	"context"
	"errors"
	"slices"
	"sync"
	"sync/atomic"

	"garner/store"
)

// A copy holds at most bufCount buffers of bufSize bytes while it reads, and one
// for each target while that is read back.
const (
	bufSize  = 1 << 20
	bufCount = 4
)

// errNoTarget ends the reading when nobody is left to read for; each target has
// said itself what is wrong with it.
var errNoTarget = errors.New("every target has failed")

// chunk is a piece of the source on its way to several readers.
type chunk struct {
	buf  []byte
	n    int
	left atomic.Int32 // readers that still need it
}

// chunks hands the source's pieces round. Every reader takes every piece, so the
// slowest one sets the pace and memory stays bounded.
type chunks struct {
	free    chan *chunk
	readers []chan *chunk
}

func newChunks(size int64, readers int) *chunks {
	c := &chunks{free: make(chan *chunk, bufCount)}
	each := min(size+1, bufSize) // one more than a small file has shows its end at once
	for range min(size/bufSize+1, bufCount) {
		c.free <- &chunk{buf: make([]byte, each)}
	}
	for range readers {
		c.readers = append(c.readers, make(chan *chunk, bufCount))
	}
	return c
}

// each calls f with every piece, in order. It must run until the pieces end:
// a reader that stops would stop everybody.
func (c *chunks) each(reader int, f func(p []byte)) {
	for ch := range c.readers[reader] {
		f(ch.buf[:ch.n])
		if ch.left.Add(-1) == 0 {
			c.free <- ch // has room for all of them
		}
	}
}

func (c *chunks) send(ch *chunk) {
	ch.left.Store(int32(len(c.readers)))
	for _, r := range c.readers {
		r <- ch // has room for all of them
	}
}

func (c *chunks) end() {
	for _, r := range c.readers {
		close(r)
	}
}

// feed reads the source once, for its digest and for all targets that write. On
// return everybody has had everything.
func feed(ctx context.Context, src *source, targets []*target, progress func(int64)) (sum [32]byte, err error) {
	var writing []*target
	for _, t := range targets {
		if t.f != nil {
			writing = append(writing, t)
		}
	}
	c := newChunks(src.size(), len(writing)+1)
	digest := store.NewDigest()
	var all sync.WaitGroup
	for i, t := range writing {
		all.Go(func() { c.each(i, t.write) })
	}
	all.Go(func() { c.each(len(writing), func(p []byte) { digest.Write(p) }) })

	err = pump(ctx, src, c, targets, progress)
	c.end()
	all.Wait()
	if err == nil {
		err = src.settle()
	}
	if err != nil {
		return sum, err
	}
	return digest.Sum(), nil
}

// pump reads until the end, a failure, or nobody needs it.
func pump(ctx context.Context, src *source, c *chunks, targets []*target, progress func(int64)) error {
	for {
		if !slices.ContainsFunc(targets, (*target).alive) {
			return errNoTarget
		}
		var ch *chunk
		select {
		case ch = <-c.free:
		case <-ctx.Done():
		}
		if err := ctx.Err(); err != nil {
			return store.Wrap("copy", src.path, err)
		}
		n, end, err := src.next(ch.buf)
		if err != nil {
			return err
		}
		ch.n = n
		c.send(ch)
		if progress != nil && n > 0 {
			progress(int64(n))
		}
		if end {
			return nil
		}
	}
}
