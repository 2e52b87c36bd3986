package reopen

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"

	"garner/preview/sched"
	"garner/preview/small"
	"garner/store"
	"garner/store/vfs"
)

// What looking at small pictures may take: bytes of one, and of all that are looked at
// at once. Decoding takes a few times as much.
const (
	maxSmall = 256 << 20
	allSmall = 256 << 20
)

var errTooLarge = errors.New("is too large for a small picture")

// decode looks at every small picture.
func (c *checker) decode(ctx context.Context) error {
	s := sched.New[small.Original](ctx, sched.Options{Workers: runtime.GOMAXPROCS(0), MaxBytes: allSmall, MaxQueue: len(c.order) + 1})
	defer s.Close()
	queue, next := []*sched.Ticket[small.Original]{}, 0
	for i, at := range c.order {
		for ; next < len(c.order) && len(queue) <= 2*runtime.GOMAXPROCS(0); next++ {
			at := c.order[next]
			full := filepath.Join(c.rec.Bag, filepath.FromSlash(at))
			_, listed := c.Report.Bag.Sum(at) // what no manifest lists may lie anywhere
			queue = append(queue, s.Submit(sched.Job[small.Original]{Key: at, Class: sched.Background, Bytes: sizeOf(full), Run: func(context.Context) (small.Original, error) {
				if !listed {
					return small.Original{}, errors.New("is in no manifest")
				}
				return readSmall(full)
			}}))
		}
		o, err := queue[0].Result()
		queue = queue[1:]
		if ctx.Err() != nil {
			return ctx.Err()
		}
		want := c.smalls[at]
		switch {
		case err != nil:
			c.fault(at, "does not stand for %s: %s", want.of, store.Reason(err))
		case want.sum != "" && store.Hex(o.Sum) != want.sum:
			c.fault(at, "was made of another file than %s", want.of)
		default:
			c.Smalls++
		}
		c.progress(Progress{Stage: Decoding, Done: i + 1, Total: len(c.order)})
	}
	return nil
}

func sizeOf(path string) int64 {
	info, err := os.Lstat(path)
	if err != nil {
		return 0
	}
	return min(info.Size(), maxSmall)
}

// readSmall reads a small picture and decodes it.
func readSmall(path string) (small.Original, error) {
	f, _, err := vfs.OpenPlain(path)
	if err != nil {
		return small.Original{}, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, maxSmall+1))
	if err != nil {
		return small.Original{}, err
	}
	if len(b) > maxSmall {
		return small.Original{}, errTooLarge
	}
	return small.Check(b)
}
