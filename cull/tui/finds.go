package tui

import (
	"context"
	"fmt"
	"image"
	"math"
	"os"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull"
	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// Finds is the full screen on which frames that were found again are looked at.
type Finds struct {
	window
	desk *station.Finds
	keys keymap[*Finds]
	at   areas
	view struct {
		of   viewedTrial
		text string
	}
	ahead viewedTrial
}

// RunFinds shows the frames on a terminal, as Run does with the station.
func RunFinds(ctx context.Context, d *station.Finds, in, out *os.File, o Options) error {
	return run(ctx, in, out, o, func(s Screen, width, height int, o Options) (full, error) { return NewFinds(d, s, width, height, o) })
}

// NewFinds makes the model of a desk.
func NewFinds(d *station.Finds, s Screen, width, height int, o Options) (*Finds, error) {
	keys, err := newKeymap(o.Keys, findsBindings())
	if err != nil {
		return nil, err
	}
	f := &Finds{window: window{o: o, screen: s, width: width, height: height}, desk: d, keys: keys}
	f.dress(term.Caps{})
	f.pictures = newPictures(o, s)
	f.fit()
	return f, nil
}

// findsBindings are the keys of that screen: where they mean the same as in the station
// they are the station's.
func findsBindings() []binding[*Finds] {
	on := func(do func(*station.Finds)) func(*Finds) tea.Cmd { return does(func(f *Finds) { do(f.desk) }) }
	walk := func(step int) func(*Finds) tea.Cmd { return on(func(d *station.Finds) { d.Walk(step) }) }
	rows := func(step int) func(*Finds) tea.Cmd { return on(func(d *station.Finds) { d.WalkRows(step) }) }
	pages := func(step int) func(*Finds) tea.Cmd { return on(func(d *station.Finds) { d.WalkPages(step) }) }
	pan := func(x, y int) func(*Finds) tea.Cmd {
		return on(func(d *station.Finds) { d.Pan(station.Pan{X: x, Y: y}) })
	}
	return []binding[*Finds]{
		{name: "take", keys: []string{"t"}, group: deciding, does: "take this frame: it is copied when you leave; and let it go", help: "take this frame, or all: copied when you leave; let go", do: on((*station.Finds).Mark)},
		{name: "take-all", keys: []string{"T"}, group: deciding, does: "take all that were found; and let all go", help: "take this frame, or all: copied when you leave; let go", do: on((*station.Finds).MarkAll)},

		{name: "previous-moment", group: walking, does: "previous frame", help: "frame by frame", do: walk(-1), goesOn: true},
		{name: "next-moment", group: walking, does: "next frame", help: "frame by frame", do: walk(1), goesOn: true},
		{name: "ladder-up", group: walking, does: "up a row", help: "row by row", do: rows(-1), goesOn: true},
		{name: "ladder-down", group: walking, does: "down a row", help: "row by row", do: rows(1), goesOn: true},
		{name: "previous-scene", group: walking, does: "the frames before", help: "page by page", do: pages(-1), goesOn: true},
		{name: "next-scene", group: walking, does: "the frames after", help: "page by page", do: pages(1), goesOn: true},

		{name: "large", keys: []string{"enter"}, group: seeing, does: "this frame large; and all again", do: on((*station.Finds).ToggleOne)},
		{name: "loupe", group: seeing, does: "its pixels 1:1, where it is sharp; and back", do: on((*station.Finds).ToggleLoupe), why: (*Finds).noLoupe},
		{name: "pan-left", group: seeing, does: "there: to the left", help: "there: move on", do: pan(-1, 0), goesOn: true, why: (*Finds).notClose},
		{name: "pan-right", group: seeing, does: "there: to the right", help: "there: move on", do: pan(1, 0), goesOn: true, why: (*Finds).notClose},
		{name: "pan-up", group: seeing, does: "there: up", help: "there: move on", do: pan(0, -1), goesOn: true, why: (*Finds).notClose},
		{name: "pan-down", group: seeing, does: "there: down", help: "there: move on", do: pan(0, 1), goesOn: true, why: (*Finds).notClose},

		{name: "help", group: leaving, does: "these keys", do: does(func(f *Finds) { f.help = 1 })},
		{name: "leave", group: leaving, does: "leave; what is to be taken is copied then", do: func(f *Finds) tea.Cmd { return f.leave() }},
	}
}

// Init asks for news.
func (f *Finds) Init() tea.Cmd { return tea.Batch(await(f.desk), f.pictures.begin()) }

// Update folds a message in.
func (f *Finds) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case keyMsg:
		cmd = f.key(term.Key(msg))
	case broughtMsg:
		f.desk.Take(msg.news)
		if cmd = await(f.desk); f.desk.Broke() != nil {
			f.ended = f.desk.Broke()
			cmd = f.leave()
		}
	default:
		cmd = f.window.update(f, msg)
	}
	f.fit()
	cmd = tea.Batch(cmd, f.window.show(f))
	f.sendAhead()
	return f, cmd
}

// key does what a key asks for.
func (f *Finds) key(k term.Key) tea.Cmd {
	repeat := f.desk.Held(f.press(k))
	b, ok := f.keys.bound(k.Name)
	switch {
	case k.Name == "ctrl+c":
		f.ended = context.Canceled // nothing is copied
		return f.leave()
	case f.help > 0:
		if !repeat {
			f.turnHelp(f, b.name == "help", f.helpPane())
		}
	case f.at.small && b.name != "leave":
	case k.Name == "esc":
		f.desk.Back()
	case !ok:
		f.desk.Refuse(fmt.Sprintf("%s does nothing here; %s shows the keys", shown(k.Name), f.keys.called("help")))
	case b.why != nil && b.why(f) != "":
		f.desk.Refuse(b.why(f))
	case repeat && !b.goesOn:
	default:
		return b.do(f)
	}
	return nil
}

func (f *Finds) noLoupe() string {
	switch {
	case f.desk.InLoupe():
		return ""
	case !f.pictures.pixels() && f.pictures.probing:
		return "the terminal has not said yet whether it can show single pixels"
	case !f.pictures.pixels():
		return f.pictures.noPixels()
	}
	return f.desk.NoLoupe()
}

func (f *Finds) notClose() string {
	if !f.desk.InLoupe() {
		return "the frame is not seen 1:1; " + f.keys.called("loupe") + " shows it so"
	}
	return ""
}

// fit divides the screen: two lines above the pictures, one below them.
func (f *Finds) fit() {
	a := areas{width: f.width, height: f.height, top: 2, small: f.width < minWidth || f.height < minHeight}
	if !a.small {
		a.picture = rect{0, a.top, f.width - 1, f.height - a.top - 1}
	}
	if f.at = a; a.small {
		return
	}
	area, tiles := a.picture.area(), a.picture.below(fanHead)
	room := image.Point{}
	if f.pictures.pixels() {
		room = f.pictures.size(area)
	}
	f.desk.SetPlaces(f.pictures.edge(area), station.FanArea{Cols: tiles.cols, Rows: tiles.rows, Pixels: f.pictures.size(tiles.area()), CellShape: f.pictures.cellShape()}, room)
	f.desk.KeepSources(f.pictures.mode == term.Inline)
}

// The frames as the subject of the window.

func (f *Finds) table() table  { return f.desk }
func (f *Finds) covered() bool { return f.help > 0 || f.at.small }
func (f *Finds) landed()       {}

func (f *Finds) seen() seen {
	s := f.desk.Shot()
	picture := s.Picture != nil
	for _, t := range s.Tiles {
		picture = picture || t.Picture != nil
	}
	return seen{s.ID, s.Whole || f.desk.InFan(), picture}
}

func (f *Finds) draw() func() []byte {
	s, area, painter := f.desk.Shot(), f.at.picture.area(), f.pictures.painter
	switch {
	case f.desk.InFan():
		var pieces []term.Piece
		for i, t := range s.Tiles {
			if t.Why == "" {
				pieces = append(pieces, term.Piece{Picture: t.Picture, Area: f.tileRect(s, i).area()})
			}
		}
		return func() []byte { return painter.Mosaic(pieces, area) }
	case s.Picture == nil:
		lines := f.message(s, area.Cols, area.Rows)
		return func() []byte { return painter.Text(lines, area) }
	}
	return func() []byte { return painter.Paint(s.Picture, area, term.Look{}) }
}

// tileRect is the part of a tile's place that its picture takes: just above its line of
// text.
func (f *Finds) tileRect(s station.Shot, i int) rect {
	r := tileRect(s.Tiling, i, f.at.picture)
	if p := s.Tiles[i].Picture; p != nil && p.Width > 0 {
		rows := int(math.Ceil(float64(r.cols)*float64(p.Height)/float64(p.Width)/f.pictures.cellShape() - 0.05))
		if rows = max(rows, 1); rows < r.rows {
			r.row, r.rows = r.row+r.rows-rows, rows
		}
	}
	return r
}

// sendAhead tells the painter which pictures the next keys may ask for.
func (f *Finds) sendAhead() {
	p := &f.pictures
	of := viewedTrial{version: f.desk.Version(), at: f.at, painter: p.painter}
	if p.holding || f.left || f.covered() || p.writing != 0 || of == f.ahead {
		return
	}
	f.ahead = of
	var pieces []term.Piece
	for _, s := range f.desk.Coming() {
		pieces = append(pieces, term.Piece{Picture: s.Picture, JPEG: s.Source, Area: f.at.picture.area()})
	}
	p.painter.Want(pieces)
}

// View is the text of the screen, with holes where pictures are.
func (f *Finds) View() string {
	of := viewedTrial{f.desk.Version(), f.at, f.help, f.styles, f.pictures.painter}
	if f.view.text == "" || of != f.view.of {
		f.view.of, f.view.text = of, strings.Join(f.lines(), "\n")
	}
	return f.view.text
}

func (f *Finds) lines() []string {
	a := f.at
	switch {
	case a.small:
		return f.tooSmall()
	case f.help > 0:
		return f.helpPane().Lines(f.styles, a.width, a.height)
	}
	p := f.pane()
	lines := p.Top(f.styles, a.width)
	if f.desk.InFan() {
		lines = append(lines, f.fan().Lines(f.styles, a.picture.cols, a.picture.rows)...)
	} else {
		for range a.picture.rows {
			lines = append(lines, pane.Hole(a.picture.cols))
		}
	}
	return append(lines, p.Bottom(f.styles, a.width-1))
}

// pane is what is said of the frame under the cursor.
func (f *Finds) pane() pane.Finds {
	h := f.desk.Here()
	p := pane.Finds{Number: h.Number, Total: h.Total, Name: h.Name, Job: h.Job, At: h.At, Answer: h.Answer, Remark: h.Lesser, Taken: h.Taken, Marked: h.Marked, Taking: h.Taking,
		Notice: notice(f.desk.Notice(), ""), Hint: f.hint()}
	if h.Scene != "" {
		p.Facts = append(p.Facts, "scene "+h.Scene)
	}
	if h.Body != "" {
		p.Facts = append(p.Facts, "body "+h.Body)
	}
	if h.Kind != "" {
		p.Facts = append(p.Facts, h.Kind)
	}
	p.Facts = append(append(p.Facts, answerWord(h.Answer)), h.Notes...)
	if l := h.Loupe; l != nil {
		p.Loupe = &pane.Loupe{Part: l.Part, Size: l.Size, From: l.From, Why: l.Why}
	}
	return p
}

// answerWord is an answer of the pass keep.
func answerWord(a cull.Answer) string {
	switch a {
	case cull.Yes:
		return "kept"
	case cull.No:
		return "dropped"
	case cull.Part:
		return "part of a merge"
	}
	return "open"
}

// hint names the keys that one needs here.
func (f *Finds) hint() string {
	k := f.keys
	hints := []string{k.called("previous-moment") + k.called("next-moment") + " frames"}
	if f.desk.Here().Taking != "" {
		hints = append(hints, k.called("take")+" take")
	}
	if f.desk.InFan() {
		hints = append(hints, k.called("large")+" large")
	} else {
		hints = append(hints, k.called("large")+" all")
	}
	if f.noLoupe() == "" {
		hints = append(hints, k.called("loupe")+" 1:1")
	}
	return strings.Join(append(hints, k.called("help")+" keys", k.called("leave")+" leave"), "   ")
}

// fan is what is said of the frames that are seen.
func (f *Finds) fan() pane.Fan {
	h, s := f.desk.Here(), f.desk.Shot()
	v := pane.Fan{Whole: true, From: h.From, Total: h.Total, Title: f.title()}
	place := f.at.picture.below(fanHead)
	for i, t := range f.desk.Tiles() {
		at := f.tileRect(s, i)
		tile := pane.Tile{Rung: pane.Rung{Name: t.Name, Answer: t.FoundFrame.Answer, Found: true, Here: t.Here, Broken: t.Why != "", Body: t.Body},
			Col: at.col - place.col, Row: at.row - place.row, Cols: at.cols, Rows: at.rows, Picture: t.Why == "", Waiting: !t.Whole, Why: t.Why, Note: tileNote(t)}
		if t.Taken {
			tile.Marks = []pane.Mark{{Forms: []string{"copy", "*"}}}
		}
		v.Tiles = append(v.Tiles, tile)
	}
	return v
}

// title says what the frames are.
func (f *Finds) title() string {
	if h := f.desk.Here(); h.Jobs > 1 {
		return fmt.Sprintf("found in %d jobs", h.Jobs)
	}
	return "found"
}

// tileNote is what stands beside a frame's name: its number, when it was taken, and of
// which job it is, as far as there is room.
func tileNote(t station.FindsTile) []string {
	n := fmt.Sprint(t.Number)
	if t.At.IsZero() {
		return []string{t.Job + " " + n, n}
	}
	day, clock := t.At.Format("2006-01-02 15:04"), t.At.Format("15:04")
	return []string{t.Job + " " + day + " " + n, day + " " + n, clock + " " + n, n}
}

func (f *Finds) helpPane() pane.Help {
	h := helpOf(f.keys, f)
	h.Foot = []string{"Nothing that was found is changed. Copies are made when you leave, read back and held against their sums; Ctrl-C leaves without them.", "any key goes back"}
	h.Page = f.help - 1
	return h
}
