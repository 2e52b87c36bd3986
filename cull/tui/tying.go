package tui

import (
	"context"
	"fmt"
	"os"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// Tying is the full screen on which finished pictures are tied to their frames.
type Tying struct {
	sheet[*station.Tying]
	keys  keymap[*Tying]
	field *field // a frame is typed
}

// RunTying shows the pictures on a terminal, as Run does with the station.
func RunTying(ctx context.Context, d *station.Tying, in, out *os.File, o Options) error {
	return run(ctx, in, out, o, func(s Screen, width, height int, o Options) (full, error) { return NewTying(d, s, width, height, o) })
}

// NewTying makes the model of a desk.
func NewTying(d *station.Tying, s Screen, width, height int, o Options) (*Tying, error) {
	keys, err := newKeymap(o.Keys, tyingBindings())
	if err != nil {
		return nil, err
	}
	t := &Tying{sheet: newSheet(d, s, width, height, o), keys: keys}
	t.fit()
	return t, nil
}

// tyingBindings are the keys of that screen: where they mean the same as in the station
// they are the station's.
func tyingBindings() []binding[*Tying] {
	on := func(do func(*station.Tying)) func(*Tying) tea.Cmd { return does(func(t *Tying) { do(t.desk) }) }
	walk := func(step int) func(*Tying) tea.Cmd { return on(func(d *station.Tying) { d.Walk(step) }) }
	rows := func(step int) func(*Tying) tea.Cmd { return on(func(d *station.Tying) { d.WalkRows(step) }) }
	pages := func(step int) func(*Tying) tea.Cmd { return on(func(d *station.Tying) { d.WalkPages(step) }) }
	return []binding[*Tying]{
		{name: "tie", keys: []string{"enter"}, group: deciding, does: "the picture shows this frame, or the picked ones", do: on((*station.Tying).Tie)},
		{name: "merge", group: deciding, does: "pick this frame for a merge, the lead first; and let it go", do: on((*station.Tying).Pick)},
		{name: "no-frame", keys: []string{"0"}, group: deciding, does: "the picture shows none of the frames", do: on((*station.Tying).None)},
		{name: "undo", group: deciding, does: "take back what was said last, go there", do: on((*station.Tying).Undo)},

		{name: "previous-moment", group: walking, does: "previous frame", help: "frame by frame", do: walk(-1), goesOn: true},
		{name: "next-moment", group: walking, does: "next frame; after the nearest ones, among all", help: "frame by frame", do: walk(1), goesOn: true},
		{name: "ladder-up", group: walking, does: "up a row", help: "row by row", do: rows(-1), goesOn: true},
		{name: "ladder-down", group: walking, does: "down a row", help: "row by row", do: rows(1), goesOn: true},
		{name: "previous-scene", group: walking, does: "the frames before", help: "page by page", do: pages(-1), goesOn: true},
		{name: "next-scene", group: walking, does: "the frames after", help: "page by page", do: pages(1), goesOn: true},
		{name: "next-pass", group: walking, does: "all frames in the order of the day, around this one; and back", do: on((*station.Tying).ToggleAround)},
		{name: "go-to", group: walking, does: "go to a frame by number, name, time or scene", do: does((*Tying).openGoTo)},
		{name: "next-open", group: walking, does: "skip: the next picture that is left", help: "next picture that is left; picture before", do: on(func(d *station.Tying) { d.Skip(1) })},
		{name: "picture-before", keys: []string{"p"}, group: walking, does: "the picture before", help: "next picture that is left; picture before", do: on(func(d *station.Tying) { d.Skip(-1) })},

		{name: "help", group: leaving, does: "these keys", do: does(func(t *Tying) { t.help = 1 })},
		{name: "leave", group: leaving, does: "leave; what was said is kept", do: func(t *Tying) tea.Cmd { return t.leave() }},
	}
}

// Update folds a message in.
func (t *Tying) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case keyMsg:
		cmd = t.key(term.Key(msg))
	case pasteMsg:
		if t.field != nil {
			t.field.insert(msg.Text)
		} else {
			t.desk.Refuse("pasted text says nothing")
		}
	case broughtMsg:
		cmd = t.brought(msg.news)
	default:
		cmd = t.window.update(t, msg)
	}
	t.fit()
	return t, tea.Batch(cmd, t.window.show(t))
}

// key does what a key asks for.
func (t *Tying) key(k term.Key) tea.Cmd {
	repeat := t.desk.Held(t.press(k))
	switch {
	case k.Name == "ctrl+c":
		return t.leave()
	case t.help > 0:
		if !repeat {
			t.turnHelp(t, t.keys.of("help").has(k.Name), t.helpPane())
		}
		return nil
	case t.field != nil:
		t.fieldKey(k)
		return nil
	}
	return act(&t.sheet, t.keys, t, k, repeat)
}

// openGoTo lets a person type which frame.
func (t *Tying) openGoTo() {
	t.field = &field{opener: "go-to", hint: "number, name, 14:05, scene; Enter", find: t.desk.Find}
	t.desk.Redraw()
}

func (t *Tying) fieldKey(k term.Key) {
	f := t.field
	end := f.key(k, t.keys.of(f.opener).has(k.Name))
	if end == fieldOpen {
		return
	}
	t.field = nil
	t.desk.Redraw()
	switch {
	case end == fieldLeft:
	case len(f.matches) > 0:
		t.desk.GoTo(f.matches[f.selected].Frame)
	case len(f.text) > 0:
		t.desk.Refuse("nothing in this job fits \"" + string(f.text) + "\"")
	}
}

// fit divides the screen: the finished picture at the left, the frames that it may show
// at the right.
func (t *Tying) fit() {
	if !t.divide() {
		return
	}
	left, p := (t.width-2)*9/20, t.at.picture
	t.at.picture.cols = left
	t.at.side = rect{left + 1, p.row, t.width - left - 2, p.rows}
	r, at := t.at.side.below(fanHead), t.pictures.size(t.at.picture.area())
	t.desk.SetPlaces(max(at.X, at.Y), station.FanArea{Cols: r.cols, Rows: r.rows, Pixels: t.pictures.size(r.area()), CellShape: t.pictures.cellShape()})
}

func (t *Tying) seen() seen { return seen{t.desk.Shot().ID, true, t.desk.Shot().Picture != nil} }

// draw shows the finished picture and the frames in one.
func (t *Tying) draw() func() []byte {
	s, painter := t.desk.Shot(), t.pictures.painter
	var pieces []term.Piece
	if t.field == nil && s.Why == "" {
		pieces = append(pieces, term.Piece{Picture: s.Picture, Area: t.at.picture.area()})
	}
	for i, tile := range s.Tiles {
		if tile.Why == "" {
			pieces = append(pieces, term.Piece{Picture: tile.Picture, Area: t.tileRect(s, i).area()})
		}
	}
	whole := term.Area{Row: t.at.top, Cols: t.width - 1, Rows: t.at.picture.rows}
	return func() []byte { return painter.Mosaic(pieces, whole) }
}

func (t *Tying) tileRect(s station.TyingShot, i int) rect {
	return t.tileOf(s.Tiles[i], tileRect(s.Tiling, i, t.at.side))
}

// View is the text of the screen, with holes where pictures are.
func (t *Tying) View() string { return t.view(t.field, t.lines) }

func (t *Tying) lines() []string {
	if lines := t.over(t.helpPane); lines != nil {
		return lines
	}
	a, p := t.at, t.pane()
	lines := p.Top(t.styles, a.width)
	var left []string
	switch s := t.desk.Shot(); {
	case t.field != nil:
		left = t.field.lines(t.styles, a.picture)
	case s.Why != "":
		left = pane.Message{Title: "it cannot be shown", Lines: []string{s.Why}}.Block(t.styles, a.picture.cols, a.picture.rows)
	}
	right := t.fan().Lines(t.styles, t.at.side.cols, t.at.side.rows)
	for row := range a.picture.rows {
		text := pane.Hole(a.picture.cols)
		if left != nil {
			text = left[row]
		}
		lines = append(lines, text+" "+right[row])
	}
	return append(lines, p.Bottom(t.styles, a.width-1))
}

// pane is what is said of the picture.
func (t *Tying) pane() pane.Tying {
	h := t.desk.Here()
	p := pane.Tying{Picture: h.Picture, At: h.At, Total: h.Total, Left: h.Left, Why: h.Why, Done: h.Done, Picked: h.Picked, Waiting: h.Waiting,
		Notice: notice(t.desk.Notice(), t.keys.called("undo"))}
	k, what := t.keys, "this frame"
	if len(h.Picked) > 0 {
		what = "the picked ones"
	}
	p.Hint = strings.Join([]string{k.called("tie") + " " + what, k.called("no-frame") + " no frame", k.called("merge") + " pick", k.called("next-open") + " skip",
		k.called("next-pass") + " all frames", k.called("go-to") + " go to", k.called("help") + " keys", k.called("leave") + " leave"}, "   ")
	return p
}

// fan is what is said of the frames.
func (t *Tying) fan() pane.Fan {
	h, s := t.desk.Here(), t.desk.Shot()
	f := pane.Fan{Whole: true, From: h.From, Total: h.All, Title: "frames that it may show, the nearest first"}
	if h.Around {
		f.Title = "all frames, in the order of the day"
	}
	place := t.at.side.below(fanHead)
	for i, r := range t.desk.Rungs() {
		at := t.tileRect(s, i)
		tile := pane.Tile{Rung: rung(r.Rung), Col: at.col - place.col, Row: at.row - place.row, Cols: at.cols, Rows: at.rows, Picture: r.Why == "", Waiting: r.Waiting, Why: r.Why, At: r.At}
		if r.Picked > 0 {
			tile.Marks = []pane.Mark{{Forms: []string{fmt.Sprintf("picked %d", r.Picked), fmt.Sprint(r.Picked)}, Look: true}}
		}
		f.Tiles = append(f.Tiles, tile)
	}
	return f
}

func (t *Tying) helpPane() pane.Help {
	h := helpOf(t.keys, t)
	h.Foot = []string{"A key says something only of a picture and a frame that are on the screen; held down, it does so once. What is said is on the disk before it is shown.", "any key goes back"}
	h.Page = t.help - 1
	return h
}
