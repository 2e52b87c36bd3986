package term

import (
	"context"
	"errors"
	"io"
	"time"
)

// loneEscape is the silence after which an ESC is the key and not the
// beginning of something: longer than a terminal takes between two bytes of
// a sequence, shorter than a hand between two keys.
const loneEscape = 50 * time.Millisecond

// errSilent is what a source's read returns when nothing came in time.
var errSilent = errors.New("nothing came in time")

// source reads with a limit on the silence (0 = none) and until ctx ends.
type source interface {
	read(ctx context.Context, p []byte, silence time.Duration) (int, error)
	close()
}

// Listen reads r until ctx ends or r fails, and hands out what it says, one
// event after the other. It returns nil when ctx ended, else r's error (io.EOF
// too: a terminal that ends has gone away).
//
// On Unix a reader with a file descriptor is waited for with select(2), so that
// ctx ends the wait at once, no byte is lost to a later reader, and an ESC
// counts as lone only if the system has no byte after it. Other readers, and
// all of them on Windows, are read by a goroutine of their own; a reader with
// SetReadDeadline is freed by it when ctx ends, for any other Listen waits until
// the Read under way returns or, on Windows' console, leaves it behind after
// 100 ms: it takes one more key press and ends.
func Listen(ctx context.Context, r io.Reader, now func() time.Time, emit func(Event)) error {
	src, err := newSource(r)
	if err != nil {
		return err
	}
	defer src.close()
	var d Decoder
	hand := func(events []Event) {
		for _, e := range events {
			emit(e)
		}
	}
	buf := make([]byte, 4096)
	silent := true
	for {
		wait := loneEscape
		if silent || !d.waiting() {
			wait = 0
		}
		n, err := src.read(ctx, buf, wait)
		if n > 0 {
			silent = false
			hand(d.Feed(buf[:n], now()))
		}
		switch {
		case err == errSilent:
			silent = true
			hand(d.Flush(now()))
		case ctx.Err() != nil:
			return nil
		case err != nil:
			hand(d.Flush(now()))
			return err
		}
	}
}

// chunk is what one Read gave.
type chunk struct {
	p   []byte
	err error
}

// pump is a source for any reader: a goroutine reads, one chunk ahead.
type pump struct {
	r      io.Reader
	chunks chan chunk
	stop   chan struct{}
	done   chan struct{}
	left   []byte
	err    error
	leave  time.Duration // how long close waits for the goroutine; 0 = until it ends
}

func newPump(r io.Reader, leave time.Duration) *pump {
	s := &pump{r: r, chunks: make(chan chunk), stop: make(chan struct{}), done: make(chan struct{}), leave: leave}
	go s.run()
	return s
}

func (s *pump) run() {
	defer close(s.done)
	for {
		buf := make([]byte, 4096)
		n, err := s.r.Read(buf)
		select {
		case s.chunks <- chunk{buf[:n], err}:
		case <-s.stop:
			return
		}
		if err != nil {
			return
		}
	}
}

func (s *pump) read(ctx context.Context, p []byte, silence time.Duration) (int, error) {
	if len(s.left) == 0 && s.err == nil {
		c, err := s.next(ctx, silence)
		if err != nil {
			return 0, err
		}
		s.left, s.err = c.p, c.err
	}
	n := copy(p, s.left)
	s.left = s.left[n:]
	if len(s.left) > 0 {
		return n, nil
	}
	return n, s.err
}

func (s *pump) next(ctx context.Context, silence time.Duration) (chunk, error) {
	var timeout <-chan time.Time
	if silence > 0 {
		t := time.NewTimer(silence)
		defer t.Stop()
		timeout = t.C
	}
	select {
	case c := <-s.chunks:
		return c, nil
	case <-ctx.Done():
		return chunk{}, ctx.Err()
	case <-timeout:
	}
	select { // what has come meanwhile is no silence
	case c := <-s.chunks:
		return c, nil
	default:
		return chunk{}, errSilent
	}
}

func (s *pump) close() {
	close(s.stop)
	if d, ok := s.r.(interface{ SetReadDeadline(time.Time) error }); ok {
		if d.SetReadDeadline(time.Unix(1, 0)) == nil {
			<-s.done
			_ = d.SetReadDeadline(time.Time{})
			return
		}
	}
	if s.leave == 0 {
		<-s.done
		return
	}
	t := time.NewTimer(s.leave)
	defer t.Stop()
	select {
	case <-s.done:
	case <-t.C:
	}
}
