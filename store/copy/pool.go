package copy

import "context"

// bufSize is the size of a buffer in bytes.
const bufSize = 1 << 20

// Pool is a number of buffers that several copies at once share, and so the
// bound of their memory. Where it is small they wait for each other; one buffer
// is enough for any number of copies to come to their end, since nobody waits
// for a buffer while others wait for his.
type Pool struct {
	free chan []byte // nil ones are made when they are needed
	each int64       // bytes of a buffer
}

// NewPool returns a pool of at most that many bytes, or of one buffer where that
// is less. Buffers are made as they are needed and kept for the next copy.
func NewPool(bytes int) *Pool { return newPool(bytes/bufSize, bufSize) }

func newPool(n int, each int64) *Pool {
	p := &Pool{free: make(chan []byte, max(n, 1)), each: each}
	for range cap(p.free) {
		p.free <- nil
	}
	return p
}

// ownPool is for one copy alone: enough to read ahead, then enough to read all
// targets back at once, and no more than the file needs.
func ownPool(size int64, targets int) *Pool {
	n := int(min(size/bufSize+1, pieceCount))
	return newPool(max(n, targets), min(size+1, bufSize)) // one byte more than a small file has shows its end at once
}

// get waits for a buffer. It is to be put back.
func (p *Pool) get(ctx context.Context) ([]byte, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	select {
	case b := <-p.free:
		if b == nil {
			b = make([]byte, p.each)
		}
		return b, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// put never waits.
func (p *Pool) put(b []byte) { p.free <- b }
