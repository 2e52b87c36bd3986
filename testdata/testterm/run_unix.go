//go:build linux || darwin

package testterm

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

// Setup says what a program is started with.
type Setup struct {
	Cols, Rows int // 80x24 where they are 0
	Answerer   Answerer
	Dir        string
	Env        []string      // NAME=value, added to a scrubbed environment
	Wait       time.Duration // limit of each wait, 20 s where it is 0
}

// Run is a program on a pseudo terminal whose other end is a Grid. Its methods
// are for the goroutine of the test alone.
type Run struct {
	t       testing.TB
	wait    time.Duration
	cmd     *exec.Cmd
	master  *os.File
	typist  *typist
	exited  chan struct{} // the process is gone
	drained chan struct{} // and everything it wrote is in the grid
	closing sync.Once

	mu       sync.Mutex
	grid     *Grid
	answerer Answerer
	changed  chan struct{} // closed when the grid changes, then a new one
	output   bytes.Buffer
	withhold bool
	stopped  chan struct{} // not nil: nothing is read until it is closed
	asked    int
	held     [][]byte
}

// maxOutput bounds what Output remembers.
const maxOutput = 16 << 20

// Start runs a program on a terminal of that size.
func Start(t testing.TB, cols, rows int, a Answerer, cmd ...string) *Run {
	t.Helper()
	return Setup{Cols: cols, Rows: rows, Answerer: a}.Start(t, cmd...)
}

// Start runs a program; it is killed at the test's end if it still lives.
func (s Setup) Start(t testing.TB, cmd ...string) *Run {
	t.Helper()
	if s.Cols == 0 || s.Rows == 0 {
		s.Cols, s.Rows = 80, 24
	}
	if s.Wait == 0 {
		s.Wait = 20 * time.Second
	}
	r := &Run{t: t, wait: s.Wait, grid: New(s.Cols, s.Rows), answerer: s.Answerer, changed: make(chan struct{}),
		exited: make(chan struct{}), drained: make(chan struct{})}
	r.cmd = exec.Command(cmd[0], cmd[1:]...)
	r.cmd.Dir, r.cmd.Env = s.Dir, append(scrubbed(os.Environ()), s.Env...)
	size := r.winsize(s.Cols, s.Rows)
	master, err := pty.StartWithSize(r.cmd, &pty.Winsize{Cols: size.Col, Rows: size.Row, X: size.Xpixel, Y: size.Ypixel})
	if err != nil {
		t.Fatalf("start %q on a pty: %v", cmd, err)
	}
	if r.master, err = pollable(master); err != nil {
		r.cmd.Process.Kill()
		t.Fatal(err)
	}
	r.typist = newTypist(r.master)
	r.grid.Answer(s.Answerer, r.answer)
	go r.read()
	go func() {
		r.cmd.Wait() // the state is read by Exit
		close(r.exited)
	}()
	t.Cleanup(r.end)
	return r
}

// scrubbed keeps of the environment what a program needs to run and drops all
// that could tell it which terminal the test itself runs in.
func scrubbed(env []string) []string {
	out := []string{"TERM=xterm-256color", "LANG=C.UTF-8"}
	for _, kv := range env {
		name, _, _ := strings.Cut(kv, "=")
		switch {
		case name == "PATH", name == "HOME", name == "USER", name == "LOGNAME", name == "TMPDIR", name == "TZ",
			strings.HasPrefix(name, "GO"), strings.HasPrefix(name, "GARNER_"):
			out = append(out, kv)
		}
	}
	return out
}

// pollable makes reads of the master end when it is closed: package pty leaves
// it in blocking mode, where Close would wait for a read that waits for output.
func pollable(f *os.File) (*os.File, error) {
	defer f.Close()
	fd, err := unix.FcntlInt(f.Fd(), unix.F_DUPFD_CLOEXEC, 0)
	if err != nil {
		return nil, err
	}
	if err := unix.SetNonblock(fd, true); err != nil {
		unix.Close(fd)
		return nil, err
	}
	return os.NewFile(uintptr(fd), f.Name()), nil
}

func (r *Run) winsize(cols, rows int) unix.Winsize {
	cell := r.answerer.Cell
	return unix.Winsize{Col: uint16(cols), Row: uint16(rows), Xpixel: uint16(cols * cell.X), Ypixel: uint16(rows * cell.Y)}
}

// read feeds the grid until the terminal is closed from either side.
func (r *Run) read() {
	defer close(r.drained)
	buf := make([]byte, 64<<10)
	for {
		n, err := r.master.Read(buf)
		r.stand()
		r.mu.Lock()
		r.grid.Write(buf[:n])
		r.output.Write(buf[:min(n, maxOutput-r.output.Len())])
		close(r.changed)
		r.changed = make(chan struct{})
		r.mu.Unlock()
		if err != nil { // EIO or EOF: nobody has the other end open
			return
		}
	}
}

// stand waits while the terminal is stopped.
func (r *Run) stand() {
	r.mu.Lock()
	stopped := r.stopped
	r.mu.Unlock()
	if stopped != nil {
		<-stopped
	}
}

// answer is called by the grid, under the lock.
func (r *Run) answer(a Answer) {
	if a.Fence {
		r.asked++
	}
	if a.Delay < 0 || a.Fence && r.withhold {
		r.held = append(r.held, a.Bytes)
		return
	}
	r.typist.add(time.Now().Add(a.Delay), func() []byte { return a.Bytes }, nil)
}

// Exit waits for the program's end and returns its exit code, or -1 and the
// signal that ended it.
func (r *Run) Exit() (code int, signal syscall.Signal) {
	r.t.Helper()
	if !r.until(r.exited) {
		r.fail("the program did not end")
	}
	// Its last words may still be on their way; a child of its own that has
	// the terminal open is not waited for.
	select {
	case <-r.drained:
	case <-time.After(2 * time.Second):
	}
	status := r.cmd.ProcessState.Sys().(syscall.WaitStatus)
	if status.Signaled() {
		return -1, status.Signal()
	}
	return status.ExitStatus(), 0
}

func (r *Run) until(c <-chan struct{}) bool {
	timer := time.NewTimer(r.wait)
	defer timer.Stop()
	select {
	case <-c:
		return true
	case <-timer.C:
		return false
	}
}

// Pid is the program's process id.
func (r *Run) Pid() int { return r.cmd.Process.Pid }

// Signal sends a signal to the program.
func (r *Run) Signal(s os.Signal) {
	r.t.Helper()
	if err := r.cmd.Process.Signal(s); err != nil {
		r.t.Fatalf("signal %v: %v", s, err)
	}
}

// Hangup closes the terminal, as when its window is closed: the system sends
// SIGHUP, reads end, writes fail.
func (r *Run) Hangup() {
	r.closing.Do(func() {
		r.Continue()
		r.master.Close()
		r.typist.stop()
		<-r.drained
	})
}

// end leaves nothing behind: no process, no goroutine.
func (r *Run) end() {
	select {
	case <-r.exited:
	default:
		unix.Kill(-r.cmd.Process.Pid, unix.SIGKILL) // it leads its session
	}
	<-r.exited
	r.Hangup()
}

// Output returns what the program wrote so far, at most the first 16 MiB.
func (r *Run) Output() []byte {
	r.mu.Lock()
	defer r.mu.Unlock()
	return bytes.Clone(r.output.Bytes())
}
