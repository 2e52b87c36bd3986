package tui

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	xterm "golang.org/x/term"

	"garner/cull/station"
	_ "garner/cull/tui/quiet" // before Bubble Tea is loaded
	"garner/preview/term"
)

// fps is how often the renderer looks for new text: the picture does not wait for
// it.
const fps = 120

// Run is the station on a terminal. It ends when the person leaves, when ctx ends,
// when the terminal is gone, or after a fault; the terminal is as it was before,
// whichever it was. The desk stays open.
func Run(ctx context.Context, d *station.Desk, in, out *os.File, o Options) error {
	return run(ctx, in, out, o, func(s Screen, width, height int, o Options) (full, error) { return New(d, s, width, height, o) })
}

// run shows a full screen.
func run(ctx context.Context, in, out *os.File, o Options, open opener) (err error) {
	width, height, err := xterm.GetSize(int(out.Fd()))
	if err != nil {
		return fmt.Errorf("the size of the terminal is not to be had: %w", err)
	}
	watch := newGuard(out)
	defer watch.dismiss() // last of all
	was, err := xterm.MakeRaw(int(in.Fd()))
	if err != nil {
		return fmt.Errorf("the terminal cannot be read key by key: %w", err)
	}
	if o.TmpDir == "" {
		o.TmpDir = os.TempDir()
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	o.Cell = func() (float64, float64) { return term.CellSize(out.Fd()) }
	o.Probe = term.NewProbe(o.Getenv, o.TmpDir)
	s := &sitting{o: o, in: in, open: open}
	s.screen = term.NewScreen(out, term.ScreenOptions{Now: o.Now, Landed: s.landed, Lost: s.lost})
	// Whatever happens: what was drawn is taken away, the modes are put back, and
	// only then is the terminal given back to the shell.
	defer func() {
		fault := recover()
		o.Probe.Close()
		if s.model != nil {
			s.model.frame().pictures.painter.Close() // what lies in shared memory or files; the pictures go with the screen
		}
		if fault != nil || err != nil { // it did not leave in order
			s.screen.Send([]byte(alternate)) // the modes of the keyboard belong to it
			s.screen.Send(term.Reset())
		}
		closeErr := s.screen.Close()
		restoreErr := xterm.Restore(int(in.Fd()), was)
		if fault != nil {
			err = fmt.Errorf("a fault in the station: %v", fault)
		}
		if err == nil {
			err = errors.Join(closeErr, restoreErr)
		}
	}()
	return s.run(ctx, out, width, height)
}

// alternate switches to the alternate screen (xterm control sequences, DECSET
// 1049); on it already it does no harm.
const alternate = "\x1b[?1049h"

// opener makes the model of a full screen.
type opener func(s Screen, width, height int, o Options) (full, error)

// sitting is one run.
type sitting struct {
	o      Options
	in     *os.File
	open   opener
	screen *term.Screen
	model  full

	mu      sync.Mutex
	program *tea.Program // nil until it is made
	early   []tea.Msg    // what arrived before; keys not: nothing was to be seen
}

// maxEarly bounds it.
const maxEarly = 256

func (s *sitting) run(ctx context.Context, out *os.File, width, height int) error {
	// The questions go out before anything else, so that the answers are there
	// when the first picture is.
	s.screen.Send(s.o.Probe.Ask())
	m, err := s.open(s.screen, width, height, s.o)
	if err != nil {
		return err
	}
	s.model = m
	listen, stop := context.WithCancel(context.Background())
	var beside sync.WaitGroup
	defer beside.Wait()
	defer stop()
	beside.Go(func() {
		err := term.Listen(listen, s.in, s.o.Now, s.event)
		if listen.Err() == nil {
			s.send(inputEndedMsg{err})
		}
	})
	if s.o.Trace != nil {
		beside.Go(func() { watchMemory(listen, s.o.Trace) })
	}
	p := tea.NewProgram(m, tea.WithInput(nil), tea.WithOutput(s.screen.File(out)), tea.WithAltScreen(), tea.WithFPS(fps),
		tea.WithoutSignalHandler(), tea.WithoutCatchPanics())
	beside.Go(func() { s.begin(p) })
	beside.Go(func() {
		select {
		case <-listen.Done():
		case <-ctx.Done():
			s.send(stopMsg{})
		}
	})
	_, err = p.Run()
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err == nil:
		return m.frame().ended
	}
	return err
}

// event hands on what the terminal sent. What answers the screen goes there at
// once, in the order in which it was read among the keys.
func (s *sitting) event(e term.Event) {
	switch e := e.(type) {
	case term.Key:
		s.send(keyMsg(e))
	case term.Paste:
		s.send(pasteMsg(e))
	case term.Answer:
		if !s.screen.Answered(e) {
			s.send(answerMsg(e))
		}
	}
}

func (s *sitting) landed(l term.Landing) { s.send(landedMsg(l)) }
func (s *sitting) lost()                 { s.send(lostMsg{}) }

// send gives a message to the program, or keeps it until there is one.
func (s *sitting) send(msg tea.Msg) {
	s.mu.Lock()
	p := s.program
	if p == nil && len(s.early) < maxEarly {
		switch msg.(type) {
		case keyMsg, pasteMsg:
		default:
			s.early = append(s.early, msg)
		}
	}
	s.mu.Unlock()
	if p != nil {
		p.Send(msg)
	}
}

// begin lets messages through to the program. Sending waits until it runs.
func (s *sitting) begin(p *tea.Program) {
	s.mu.Lock()
	s.program = p
	early := s.early
	s.early = nil
	s.mu.Unlock()
	for _, msg := range early {
		p.Send(msg)
	}
}
