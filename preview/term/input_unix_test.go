//go:build unix

package term

import (
	"context"
	"errors"
	"io"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	xterm "golang.org/x/term"
)

// A real terminal: keys, a lone ESC, the end by context, the end of the
// terminal.
func TestListenOnATerminal(t *testing.T) {
	master, slave, err := pty.Open()
	if err != nil {
		t.Skip("needs a pseudo terminal: " + err.Error())
	}
	defer slave.Close()
	if _, err := xterm.MakeRaw(int(slave.Fd())); err != nil {
		t.Fatal(err)
	}
	listen := func(ctx context.Context) (chan Event, chan error) {
		got, done := make(chan Event, 10), make(chan error, 1)
		go func() { done <- Listen(ctx, slave, time.Now, func(e Event) { got <- e }) }()
		return got, done
	}
	ctx, cancel := context.WithCancel(t.Context())
	got, done := listen(ctx)
	for _, tt := range []struct{ in, want string }{{"k", "k"}, {"\x1b[A", "up"}, {"\x1b", "esc"}, {"\x03", "ctrl+c"}} {
		if _, err := master.WriteString(tt.in); err != nil {
			t.Fatal(err)
		}
		if k := (<-got).(Key); k.Name != tt.want {
			t.Errorf("%q: %+v", tt.in, k)
		}
	}
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
	_, done = listen(t.Context())
	master.Close()
	if err := <-done; err != io.EOF && !errors.Is(err, syscall.EIO) {
		t.Errorf("when the terminal has gone: %v", err)
	}
}

func TestCellSize(t *testing.T) {
	master, slave, err := pty.Open()
	if err != nil {
		t.Skip("needs a pseudo terminal: " + err.Error())
	}
	defer master.Close()
	defer slave.Close()
	if err := pty.Setsize(slave, &pty.Winsize{Rows: 50, Cols: 160, X: 1536, Y: 950}); err != nil {
		t.Fatal(err)
	}
	if w, h := CellSize(slave.Fd()); w != 9.6 || h != 19 {
		t.Errorf("%v by %v", w, h)
	}
	if err := pty.Setsize(slave, &pty.Winsize{Rows: 50, Cols: 160}); err != nil {
		t.Fatal(err)
	}
	if w, h := CellSize(slave.Fd()); w != 0 || h != 0 {
		t.Errorf("not told: %v by %v", w, h)
	}
}

// The screen passes for its file.
func TestTTY(t *testing.T) {
	master, slave, err := pty.Open()
	if err != nil {
		t.Skip("needs a pseudo terminal: " + err.Error())
	}
	defer master.Close()
	defer slave.Close()
	s := NewScreen(slave, ScreenOptions{})
	f := s.File(slave)
	if !xterm.IsTerminal(int(f.Fd())) {
		t.Error("not a terminal")
	}
	if n, err := f.Write([]byte("frame")); n != 5 || err != nil {
		t.Error(n, err)
	}
	p := make([]byte, 5)
	if _, err := io.ReadFull(master, p); err != nil || string(p) != "frame" {
		t.Errorf("%q, %v", p, err)
	}
	if err := f.Close(); err != nil {
		t.Error(err)
	}
	if _, err := f.Write([]byte("more")); err != nil {
		t.Errorf("closed with the program: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}
