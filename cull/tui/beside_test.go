package tui

import (
	"image"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/station"
	"garner/preview/term"
	"garner/testdata/testterm"
)

// besideDesk is a desk beside the station's.
type besideDesk interface {
	Busy() bool
	Next() (station.Brought, bool)
	Redraw()
}

// beside runs a model beside the station's as driver runs that one.
type beside struct {
	t     testing.TB
	m     full
	desk  besideDesk
	grid  *testterm.Grid
	now   time.Time
	lines []string

	waiting  []term.Shot
	withhold bool // the terminal answers no fence
}

func (b *beside) Show(s term.Shot)                   { b.waiting = []term.Shot{s} }
func (b *beside) Send(p []byte)                      {}
func (b *beside) Ahead(func() []byte)                {}
func (b *beside) SetFence(func(uint64) []byte, bool) {}

// driveBeside begins on a terminal with kitty graphics that reads files, or with half
// blocks.
func driveBeside(t testing.TB, desk besideDesk, width, height int, o Options, open func(Screen, Options) (full, error)) *beside {
	t.Helper()
	b := &beside{t: t, desk: desk, grid: testterm.New(width, height), now: time.Date(2026, 9, 20, 9, 0, 0, 0, time.UTC)}
	o.Now, o.TmpDir = func() time.Time { return b.now }, t.TempDir()
	if o.Getenv == nil {
		o.Getenv = func(name string) string { return map[string]string{"COLORTERM": "truecolor"}[name] }
	}
	var err error
	if b.m, err = open(b, o); err != nil {
		t.Fatal(err)
	}
	w := b.m.frame()
	w.pictures.painter.Close()
	w.pictures.caps.TempFile = true
	w.pictures.painter = w.pictures.newPainter()
	t.Cleanup(func() { w.pictures.painter.Close() })
	b.m.Init()
	b.send(tea.WindowSizeMsg{Width: width, Height: height})
	return b
}

func (b *beside) send(msg tea.Msg) {
	b.m.Update(msg)
	b.settle()
}

// settle lets the screen show what it is asked for and takes in all news.
func (b *beside) settle() {
	b.t.Helper()
	limit := time.AfterFunc(2*time.Minute, func() { panic("the screen is never idle") })
	defer limit.Stop()
	for {
		for len(b.waiting) > 0 {
			s := b.waiting[0]
			b.waiting = nil
			if s.Build != nil {
				b.grid.Write(s.Build())
			}
			b.landed(s.ID, term.Written)
			if !b.withhold {
				b.landed(s.ID, term.Drawn)
			}
		}
		b.lines = paint(b.t, b.grid, b.lines, b.m.View())
		if !b.desk.Busy() {
			return
		}
		n, ok := b.desk.Next()
		if !ok {
			b.t.Fatal("a busy desk has no news")
		}
		b.m.Update(broughtMsg{n})
	}
}

func (b *beside) landed(id uint64, state term.LandState) {
	b.now = b.now.Add(time.Millisecond)
	b.m.Update(landedMsg{ID: id, State: state, Written: b.now, Acked: b.now})
}

func (b *beside) press(keys ...string) *beside {
	b.t.Helper()
	for _, k := range keys {
		b.now = b.now.Add(3 * time.Second)
		key := term.Key{Name: k, At: b.now}
		if len([]rune(k)) == 1 {
			key.Text = k
		}
		b.send(keyMsg(key))
	}
	return b
}

func (b *beside) sees(texts ...string) {
	b.t.Helper()
	screen := b.grid.Text()
	for _, text := range texts {
		if !strings.Contains(screen, text) {
			b.t.Errorf("%q is not on the screen:\n%s", text, screen)
		}
	}
}

// placed are the pictures that the terminal shows.
func (b *beside) placed() []testterm.Image {
	var list []testterm.Image
	for _, im := range b.grid.Images() {
		if len(im.Placements) > 0 && !im.Placements[0].Virtual {
			list = append(list, im)
		}
	}
	return list
}

func (b *beside) pixels() image.Point {
	b.t.Helper()
	list := b.placed()
	if len(list) != 1 {
		b.t.Fatalf("the terminal shows %d pictures", len(list))
	}
	return list[0].Pix.Rect.Size()
}

func sizeMsg(width, height int) tea.WindowSizeMsg {
	return tea.WindowSizeMsg{Width: width, Height: height}
}
