package handoff

import (
	"bytes"
	"context"

	"garner/cull"
	"garner/cull/sidecar"
	"garner/store/atomicfile"
)

// batch is how many sidecars share one save of intents. What was saved for the
// batch before goes with it, so a batch costs one sync of the catalogue.
const batch = 64

// change is one sidecar that was looked at and waits to be written and told.
type change struct {
	line  Line
	done  bool // only to be told
	id    cull.ID
	key   string // in memory
	file  string
	old   []byte // what the file held; nil = there was none
	begun bool   // Request.Old is another sidecar, whose bytes a new file begins with
	req   sidecar.Request
	res   sidecar.Result
}

// propose decides about one sidecar and puts it in the queue.
func (s *state) propose(ctx context.Context, c change) error {
	if !c.done {
		c.res = sidecar.Merge(c.req)
	}
	s.queue = append(s.queue, c)
	if len(s.queue) < batch {
		return nil
	}
	return s.flush(ctx)
}

// fail puts a sidecar that can't be treated in the queue: lines keep their order.
func (s *state) fail(ctx context.Context, line Line, err error) error {
	line.Action, line.Reason = Failed, reason(err)
	return s.propose(ctx, change{line: line, done: true})
}

// data is what is to be written; nil = nothing.
func (c *change) data() []byte {
	if c.res.Bytes == nil && c.begun && c.res.Action != sidecar.Failed {
		return c.req.Old
	}
	return c.res.Bytes
}

// flush saves the intents of the queue, writes its files and tells its lines.
// When ctx ends, what is not written yet is left for the next run; an intent
// without its file says nothing.
func (s *state) flush(ctx context.Context) error {
	for i := range s.queue {
		if c := &s.queue[i]; c.data() != nil {
			s.mem.intend(c.key, c.id, c.res.Wrote, c.data())
		}
	}
	if err := s.mem.save(); err != nil {
		return err
	}
	for i := range s.queue {
		c := &s.queue[i]
		if err := ctx.Err(); err != nil {
			s.queue = nil
			return err
		}
		if !c.done {
			if err := s.carryOut(c); err != nil {
				return err
			}
		}
		s.tell(c.line)
	}
	s.queue = s.queue[:0]
	return nil
}

// carryOut writes one sidecar. The error is one of the catalogue; the file's own
// is in the line.
func (s *state) carryOut(c *change) error {
	if c.data() != nil {
		// An editor may have saved the file since it was read for the batch.
		now, err := readBounded(s.fs, c.file)
		if err != nil {
			c.line.Action, c.line.Reason = Failed, reason(err)
			return nil
		}
		if (now == nil) != (c.old == nil) || !bytes.Equal(now, c.old) {
			c.old, c.begun = now, false
			c.req.Old, c.req.Last = now, s.mem.last(c.key, now)
			c.res = sidecar.Merge(c.req)
			if c.data() != nil {
				s.mem.intend(c.key, c.id, c.res.Wrote, c.data())
				if err := s.mem.save(); err != nil {
					return err
				}
			}
		}
	}
	c.line.Action, c.line.Reason = Action(c.res.Action), c.res.Reason
	if data := c.data(); data != nil {
		if err := atomicfile.WriteFile(s.fs, c.file, data, 0o666); err != nil {
			c.line.Action, c.line.Reason = Failed, reason(err)
			return nil
		}
		if c.begun && c.line.Action != Conflict {
			c.line.Action = Written
		}
	}
	if c.res.Action != sidecar.Failed {
		s.mem.wrote(c.key, c.id, c.res.Wrote)
	}
	return nil
}
