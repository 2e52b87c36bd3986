//go:build unix

package term

import (
	"context"
	"io"
	"os"
	"time"

	"golang.org/x/sys/unix"
)

// fdSetSize is the number of descriptors that select(2) can wait for.
const fdSetSize = 1024

// selector waits for a descriptor with select(2), which unlike poll(2) knows
// terminals on every Unix, and for a pipe that ends the wait.
type selector struct {
	fd     int
	r, w   *os.File
	wakeFD int
	stop   func() bool
}

func newSource(r io.Reader) (source, error) {
	f, ok := r.(interface{ Fd() uintptr })
	if !ok {
		return newPump(r, 0), nil
	}
	fd := f.Fd()
	pr, pw, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	wake := pr.Fd()
	if fd >= fdSetSize || wake >= fdSetSize {
		pr.Close()
		pw.Close()
		return newPump(r, 0), nil
	}
	return &selector{fd: int(fd), r: pr, w: pw, wakeFD: int(wake)}, nil
}

func (s *selector) read(ctx context.Context, p []byte, silence time.Duration) (int, error) {
	if s.stop == nil {
		s.stop = context.AfterFunc(ctx, func() { _, _ = s.w.Write([]byte{0}) })
	}
	for {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		var set unix.FdSet
		set.Zero()
		set.Set(s.fd)
		set.Set(s.wakeFD)
		var limit *unix.Timeval
		if silence > 0 {
			tv := unix.NsecToTimeval(silence.Nanoseconds())
			limit = &tv
		}
		n, err := unix.Select(max(s.fd, s.wakeFD)+1, &set, nil, nil, limit)
		switch {
		case err == unix.EINTR:
			continue
		case err != nil:
			return 0, os.NewSyscallError("select", err)
		case n == 0:
			return 0, errSilent
		case set.IsSet(s.wakeFD):
			continue // ctx has ended
		}
		n, err = unix.Read(s.fd, p)
		switch {
		case err == unix.EINTR || err == unix.EAGAIN:
			continue
		case err != nil:
			return 0, os.NewSyscallError("read", err)
		case n == 0:
			return 0, io.EOF
		}
		return n, nil
	}
}

func (s *selector) close() {
	if s.stop != nil {
		s.stop()
	}
	s.w.Close()
	s.r.Close()
}
