package copy

import "garner/store"

// ends works out what [store.EndsHash] would give for a file that passes by in
// pieces, so that a source can be held against an earlier look at it.
type ends struct {
	size int64
	off  int64
	head *store.Digest // the first EndLen bytes, or everything of a small file
	tail []byte        // the last EndLen bytes so far
}

func newEnds(size int64) *ends { return &ends{size: size, head: store.NewDigest()} }

// write takes the next piece.
func (e *ends) write(p []byte) {
	first := int64(store.EndLen)
	if e.size <= 2*store.EndLen {
		first = e.size
	}
	if e.off < first {
		e.head.Write(p[:min(int64(len(p)), first-e.off)])
	}
	if from := e.size - store.EndLen; e.size > 2*store.EndLen && e.off+int64(len(p)) > from {
		e.tail = append(e.tail, p[max(from-e.off, 0):]...)
	}
	e.off += int64(len(p))
}

// sum is the digest of both ends.
func (e *ends) sum() [32]byte {
	e.head.Write(e.tail)
	e.tail = nil
	return e.head.Sum()
}
