package tui

import (
	"errors"
	"fmt"
	"image"
	"os"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/station"
	"garner/preview/term"
	"garner/testdata/testjob"
	"garner/testdata/testterm"
)

const demoFrames = 24

func TestMain(m *testing.M) {
	time.Local = time.UTC // decisions are shown in local time
	os.Exit(testjob.Run(m))
}

// driver runs the model without Bubble Tea, a terminal or a clock: messages go
// in one at a time, all that they set going is waited for, and what would be on
// the screen stands in a grid.
type driver struct {
	t     testing.TB
	m     *Model
	desk  *station.Desk
	job   *job.Job
	grid  *testterm.Grid
	now   time.Time
	lines []string // as the renderer wrote them last

	waiting   []term.Shot        // shown and not written yet
	withhold  bool               // the terminal answers no fence
	textFirst bool               // the renderer is quicker than the pictures
	ahead     chan func() []byte // the painter has something for the terminal's store
	sent      []byte
	news      chan station.News // read beside; nil = it is not
	closed    bool
}

// Show, Send and SetFence make the driver a Screen. The newest picture wins.
func (d *driver) Show(s term.Shot) { d.waiting = []term.Shot{s} }
func (d *driver) Send(b []byte)    { d.sent = append(d.sent, b...) }
func (d *driver) Ahead(build func() []byte) {
	select {
	case d.ahead <- build:
	default: // one that has not begun is replaced: all are the same
	}
}
func (d *driver) SetFence(func(uint64) []byte, bool) {}
func (d *driver) write(b []byte)                     { d.grid.Write(b) }
func (d *driver) rectangle() image.Rectangle         { return rectangle(d.m.at.picture) }
func rectangle(r rect) image.Rectangle               { return image.Rect(r.col, r.row, r.col+r.cols, r.row+r.rows) }

func drive(t testing.TB, dir string, width, height int, o Options) *driver {
	t.Helper()
	return driveAs(t, dir, width, height, o, asItIs)
}

func driveAs(t testing.TB, dir string, width, height int, o Options, so station.Options) *driver {
	t.Helper()
	d := &driver{t: t, grid: testterm.New(width, height), ahead: make(chan func() []byte, 1), now: time.Date(2026, 9, 20, 9, 0, 0, 0, time.UTC)}
	now := func() time.Time { return d.now }
	var err error
	if d.job, err = job.Open(dir, job.Options{Who: "anna", Command: "test"}); err != nil {
		t.Fatal(err)
	}
	so.Who, so.Now = "anna", now
	if d.desk, err = station.Open(d.job, so); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(d.close)
	o.Now = now
	if o.Getenv == nil {
		o.Getenv = func(name string) string { return map[string]string{"COLORTERM": "truecolor"}[name] }
	}
	if d.m, err = New(d.desk, d, width, height, o); err != nil {
		t.Fatal(err)
	}
	d.m.Init()
	d.send(tea.WindowSizeMsg{Width: width, Height: height})
	return d
}

// driveKitty is drive on a terminal with kitty graphics that reads files: pictures
// go there quickly, and all that are wanted go ahead.
func driveKitty(t testing.TB, dir string, width, height int, o Options) *driver {
	t.Helper()
	return driveKittyAs(t, dir, width, height, o, asItIs)
}

func driveKittyAs(t testing.TB, dir string, width, height int, o Options, so station.Options) *driver {
	t.Helper()
	if o.Picture == "" {
		o.Picture = "kitty"
	}
	o.TmpDir = t.TempDir()
	d := driveAs(t, dir, width, height, o, so)
	d.write(d.m.pictures.painter.Close())
	d.m.pictures.caps.TempFile = true
	d.m.pictures.painter = d.m.pictures.newPainter()
	d.m.desk.Redraw()
	d.send(tickMsg{})
	return d
}

// close ends the sitting.
func (d *driver) close() {
	if d.closed {
		return
	}
	d.closed = true
	d.m.pictures.painter.Close()
	if err := errors.Join(d.desk.Close(), d.job.Close()); err != nil {
		d.t.Error(err)
	}
}

// landed tells what became of a picture, a moment after the key that asked for it.
func (d *driver) landed(id uint64, state term.LandState) {
	d.now = d.now.Add(time.Millisecond)
	d.m.Update(landedMsg{ID: id, State: state, Written: d.now, Acked: d.now})
}

// send gives the model a message and waits until all is quiet.
func (d *driver) send(msg tea.Msg) {
	d.m.Update(msg)
	d.settle()
}

// settle lets the screen show what it is asked for and takes in all news.
func (d *driver) settle() {
	d.t.Helper()
	limit := time.AfterFunc(2*time.Minute, func() { panic("the station is never idle") })
	defer limit.Stop()
	for {
		if d.textFirst {
			d.paint()
		}
		d.pictures()
		d.paint()
		d.sentAhead()
		if !d.desk.Busy() {
			return
		}
		n, ok := d.desk.Next()
		if !ok {
			d.t.Fatal("a busy desk has no news")
		}
		d.m.Update(newsMsg{n})
	}
}

// pictures writes what is to be shown, as the writer does.
func (d *driver) pictures() {
	for len(d.waiting) > 0 {
		s := d.waiting[0]
		d.waiting = nil
		if s.Build != nil {
			d.write(s.Build())
		}
		d.landed(s.ID, term.Written)
		if !d.withhold {
			d.landed(s.ID, term.Drawn)
		}
	}
}

// sentAhead writes what the painter has for the terminal's store by now.
func (d *driver) sentAhead() {
	for {
		select {
		case build := <-d.ahead:
			d.write(build())
		default:
			return
		}
	}
}

// awaitAhead waits until the terminal has every picture that may come next.
func (d *driver) awaitAhead() {
	d.t.Helper()
	limit := time.NewTimer(time.Minute)
	defer limit.Stop()
	for n := len(d.m.pictures.ahead.wanted); len(d.grid.Images()) < n; {
		select {
		case build := <-d.ahead:
			d.write(build())
		case <-limit.C:
			d.t.Fatalf("the terminal has %d pictures of %d that may come next", len(d.grid.Images()), n)
		}
	}
}

func (d *driver) paint() { d.lines = paint(d.t, d.grid, d.lines, d.m.View()) }

// paint writes a View as Bubble Tea v1's renderer does on the alternate screen:
// line by line, those that are as they were passed over, what is shorter than
// the screen erased to the end. It returns the lines.
func paint(t testing.TB, grid *testterm.Grid, was []string, view string) []string {
	width, height := grid.Size()
	lines := strings.Split(view, "\n")
	if len(lines) > height {
		t.Fatalf("View has %d lines on a screen of %d", len(lines), height)
	}
	for i, line := range lines {
		if i < len(was) && was[i] == line {
			continue
		}
		line = ansi.Truncate(line, width, "")
		if ansi.StringWidth(line) < width {
			line += "\x1b[K"
		}
		grid.Write([]byte(fmt.Sprintf("\x1b[%d;1H%s", i+1, line)))
	}
	return lines
}

// press types keys well apart.
func (d *driver) press(keys ...string) *driver {
	d.t.Helper()
	for _, k := range keys {
		d.now = d.now.Add(3 * time.Second)
		d.key(k)
	}
	return d
}

func (d *driver) key(name string) {
	k := term.Key{Name: name, At: d.now}
	if len([]rune(name)) == 1 {
		k.Text = name
	}
	d.send(keyMsg(k))
}

// typed types a text.
func (d *driver) typed(text string) *driver {
	for _, r := range text {
		d.press(string(r))
	}
	return d
}

func (d *driver) resize(width, height int) *driver {
	d.grid.Resize(width, height)
	d.lines = nil // the renderer draws everything anew
	d.send(tea.WindowSizeMsg{Width: width, Height: height})
	return d
}

// sees checks that a text is on the screen.
func (d *driver) sees(texts ...string) {
	d.t.Helper()
	screen := d.grid.Text()
	for _, text := range texts {
		if !strings.Contains(screen, text) {
			d.t.Errorf("%q is not on the screen:\n%s", text, screen)
		}
	}
}

// toBurst walks to a burst of at least n frames.
func (d *driver) toBurst(n int) {
	d.t.Helper()
	for range demoFrames {
		if kind, rungs := d.desk.Moment(); kind == cull.Burst && len(rungs) >= n {
			return
		}
		d.press("right")
	}
	d.t.Fatalf("no burst of %d frames", n)
}

// toBroken goes to the frame that cannot be shown.
func (d *driver) toBroken() {
	d.t.Helper()
	for n := range demoFrames {
		d.press(":").typed(fmt.Sprint(n + 1)).press("enter")
		if d.desk.Shot().Picture == nil {
			return
		}
	}
	d.t.Fatal("every frame can be shown")
}

// lineWidth is how many cells a line of View takes, those that it jumps over
// included.
func lineWidth(line string) int {
	width := ansi.StringWidth(line)
	for rest := line; ; {
		i := strings.Index(rest, "\x1b[")
		if i < 0 {
			return width
		}
		rest = rest[i+2:]
		n, end := 0, 0
		for end < len(rest) && rest[end] >= '0' && rest[end] <= '9' {
			n = n*10 + int(rest[end]-'0')
			end++
		}
		if end < len(rest) && rest[end] == 'C' {
			width += n
		}
	}
}
