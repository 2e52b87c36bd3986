package tui

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull"
	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// Finds is the full screen on which frames that were found again are looked at.
type Finds struct {
	sheet[*station.Finds]
	keys keymap[*Finds]
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
	f := &Finds{newSheet(d, s, width, height, o), keys}
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
	return slices.Concat([]binding[*Finds]{
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
	}, panning(func(f *Finds) closer { return f.desk }, (*Finds).notClose), []binding[*Finds]{
		{name: "help", group: leaving, does: "these keys", do: does(func(f *Finds) { f.help = 1 })},
		{name: "leave", group: leaving, does: "leave; what is to be taken is copied then", do: func(f *Finds) tea.Cmd { return f.leave() }},
	})
}

// Update folds a message in.
func (f *Finds) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case keyMsg:
		cmd = f.key(term.Key(msg))
	case broughtMsg:
		cmd = f.brought(msg.news)
	default:
		cmd = f.window.update(f, msg)
	}
	f.fit()
	cmd = tea.Batch(cmd, f.window.show(f))
	f.sendAhead(f.desk.Coming)
	return f, cmd
}

// key does what a key asks for.
func (f *Finds) key(k term.Key) tea.Cmd {
	repeat := f.desk.Held(f.press(k))
	switch {
	case k.Name == "ctrl+c":
		f.ended = context.Canceled // nothing is copied
		return f.leave()
	case f.help > 0:
		if !repeat {
			f.turnHelp(f, f.keys.of("help").has(k.Name), f.helpPane())
		}
		return nil
	case k.Name == "esc" && !f.at.small:
		f.desk.Back()
		return nil
	}
	return act(&f.sheet, f.keys, f, k, repeat)
}

func (f *Finds) noLoupe() string { return noLoupe(&f.sheet) }

func (f *Finds) notClose() string {
	if !f.desk.InLoupe() {
		return "the frame is not seen 1:1; " + f.keys.called("loupe") + " shows it so"
	}
	return ""
}

// fit divides the screen.
func (f *Finds) fit() {
	if !f.divide() {
		return
	}
	tiles := f.at.picture.below(fanHead)
	f.desk.SetPlaces(f.pictures.edge(f.at.picture.area()), station.FanArea{Cols: tiles.cols, Rows: tiles.rows, Pixels: f.pictures.size(tiles.area()), CellShape: f.pictures.cellShape()}, f.room())
	f.desk.KeepSources(f.pictures.mode == term.Inline)
}

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
	if !f.desk.InFan() {
		return f.paint(s)
	}
	var pieces []term.Piece
	for i, t := range s.Tiles {
		if t.Why == "" {
			pieces = append(pieces, term.Piece{Picture: t.Picture, Area: f.tileRect(s, i).area()})
		}
	}
	return func() []byte { return painter.Mosaic(pieces, area) }
}

func (f *Finds) tileRect(s station.Shot, i int) rect {
	return f.tileOf(s.Tiles[i], tileRect(s.Tiling, i, f.at.picture))
}

// View is the text of the screen, with holes where pictures are.
func (f *Finds) View() string { return f.view(nil, f.lines) }

func (f *Finds) lines() []string {
	if lines := f.over(f.helpPane); lines != nil {
		return lines
	}
	p := f.pane()
	lines := p.Top(f.styles, f.at.width)
	if f.desk.InFan() {
		lines = append(lines, f.fan().Lines(f.styles, f.at.picture.cols, f.at.picture.rows)...)
	} else {
		lines = append(lines, f.holes()...)
	}
	return append(lines, p.Bottom(f.styles, f.at.width-1))
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
