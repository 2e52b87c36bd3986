//go:build linux || darwin

package testterm

import (
	"time"

	"golang.org/x/sys/unix"
)

// Type types text, every character pressed and let go.
func (r *Run) Type(text string) {
	r.t.Helper()
	for _, c := range text {
		r.Key(string(c))
	}
}

// Key presses a key and lets it go: "k", "?", "right", "shift+up", "ctrl+c",
// "enter", "f1". It is encoded as the program has asked for by then.
func (r *Run) Key(name string) {
	r.t.Helper()
	s := r.parse(name)
	r.typist.add(time.Now(), func() []byte {
		f := r.form()
		return append(f.encode(s, Press), f.encode(s, Release)...)
	}, nil)
}

// Raw sends bytes as they are.
func (r *Run) Raw(b []byte) {
	r.typist.add(time.Now(), func() []byte { return b }, nil)
}

// Typing is strokes that are being typed.
type Typing struct {
	r    *Run
	late []time.Duration
	done chan struct{}
}

// Schedule types keys at their times, counted from now, while the test goes on.
func (r *Run) Schedule(strokes ...Stroke) *Typing {
	r.t.Helper()
	ty := &Typing{r: r, late: make([]time.Duration, len(strokes)), done: make(chan struct{})}
	left, start := len(strokes), time.Now()
	if left == 0 {
		close(ty.done)
	}
	for i, st := range strokes {
		s, event := r.parse(st.Key), st.Event
		if event == 0 {
			event = Press
		}
		due := start.Add(st.At)
		// All of them are called by the one typist, in turn.
		r.typist.add(due, func() []byte { return r.form().encode(s, event) }, func(at time.Time) {
			ty.late[i] = at.Sub(due)
			if left--; left == 0 {
				close(ty.done)
			}
		})
	}
	return ty
}

// Wait returns when everything is typed, and by how much each stroke was late.
// Where a machine is so busy that this matters, a test should say so instead
// of blaming the program.
func (ty *Typing) Wait() []time.Duration {
	ty.r.t.Helper()
	select {
	case <-ty.done:
	case <-ty.r.typist.done:
		ty.r.fail("the terminal was closed while keys were typed")
	case <-time.After(10 * time.Minute):
		ty.r.fail("the keys were not typed")
	}
	return ty.late
}

func (r *Run) parse(name string) stroke {
	r.t.Helper()
	s, err := parseKey(name)
	if err != nil {
		r.t.Fatal(err)
	}
	return s
}

func (r *Run) form() keyForm {
	r.mu.Lock()
	defer r.mu.Unlock()
	f := keyForm{cursorKeys: r.grid.Mode(modeCursorKeys)}
	if r.answerer.KeyEvents {
		f.flags = r.grid.KeyboardFlags()
	}
	return f
}

// Resize changes the terminal's size; the program gets SIGWINCH.
func (r *Run) Resize(cols, rows int) {
	r.t.Helper()
	r.mu.Lock()
	defer r.mu.Unlock()
	r.grid.Resize(cols, rows)
	size := r.winsize(cols, rows)
	conn, err := r.master.SyscallConn()
	if err == nil {
		var inner error
		err = conn.Control(func(fd uintptr) { inner = unix.IoctlSetWinsize(int(fd), unix.TIOCSWINSZ, &size) })
		if err == nil {
			err = inner
		}
	}
	if err != nil {
		r.t.Fatalf("resize: %v", err)
	}
}

// Stop makes the terminal stand still, as under SIGSTOP: it reads nothing, so that
// the program's writes wait when the system's buffer is full, and answers nothing.
// Keys that are typed into it meanwhile reach the program all the same, as if they
// came from elsewhere; a test that wants them to come late types them later.
func (r *Run) Stop() {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.stopped == nil {
		r.stopped = make(chan struct{})
	}
}

// Continue ends a Stop.
func (r *Run) Continue() {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.stopped != nil {
		close(r.stopped)
		r.stopped = nil
	}
}

// Withhold makes the terminal keep back the answers to fences from now on, or
// no longer. What it has kept back stays so.
func (r *Run) Withhold(on bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.withhold = on
}

// Release gives all answers that were kept back, in their order, and keeps
// back no more.
func (r *Run) Release() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.withhold = false
	for _, b := range r.held {
		r.typist.add(time.Now(), func() []byte { return b }, nil)
	}
	r.held = nil
}

// Fences says how many fences the program has asked for, and of how many the
// answer is kept back.
func (r *Run) Fences() (asked, held int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.asked, len(r.held)
}
