package tui

import (
	"fmt"
	"image"
	"math"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// This file is what the full screens of the desks beside the station's own have in
// common.

// aside is a desk beside the station's own.
type aside interface {
	table
	Next() (station.Brought, bool)
	Take(station.Brought)
	Broke() error
	Version() uint64
	Held(station.Press) bool
}

// sheet is the full screen of such a desk.
type sheet[D aside] struct {
	window
	desk D
	at   areas
	text struct { // that was drawn last
		of    viewedSheet
		lines string
	}
}

// viewedSheet is everything that the text of a sheet depends on.
type viewedSheet struct {
	version uint64
	at      areas
	help    int
	styles  *pane.Styles
	painter *term.Painter
	typed   string

	cursor, selected, matches int
}

func newSheet[D aside](desk D, s Screen, width, height int, o Options) sheet[D] {
	t := sheet[D]{window: window{o: o, screen: s, width: width, height: height}, desk: desk}
	t.dress(term.Caps{})
	t.pictures = newPictures(o, s)
	return t
}

// Init asks for news.
func (t *sheet[D]) Init() tea.Cmd { return tea.Batch(await(t.desk), t.pictures.begin()) }

// brought folds news in.
func (t *sheet[D]) brought(n station.Brought) tea.Cmd {
	t.desk.Take(n)
	if broke := t.desk.Broke(); broke != nil {
		t.ended = broke
		return t.leave()
	}
	return await(t.desk)
}

// divide leaves two lines above the picture and one below it; false = there is no room.
func (t *sheet[D]) divide() bool {
	t.at = areas{width: t.width, height: t.height, top: 2, small: t.width < minWidth || t.height < minHeight}
	if !t.at.small {
		t.at.picture = rect{0, t.at.top, t.width - 1, t.height - t.at.top - 1}
	}
	return !t.at.small
}

// room is how many pixels there are to be filled with single ones of a picture; zero =
// the way of pictures has none.
func (t *sheet[D]) room() image.Point {
	if !t.pictures.pixels() {
		return image.Point{}
	}
	return t.pictures.size(t.at.picture.area())
}

// A sheet as the subject of its window.

func (t *sheet[D]) table() table  { return t.desk }
func (t *sheet[D]) covered() bool { return t.help > 0 || t.at.small }
func (t *sheet[D]) landed()       {}

// paint draws a picture in the place of the whole, or what is said instead of it.
func (t *sheet[D]) paint(s station.Shot) func() []byte {
	area, painter := t.at.picture.area(), t.pictures.painter
	if s.Picture == nil {
		lines := t.message(s, area.Cols, area.Rows)
		return func() []byte { return painter.Text(lines, area) }
	}
	return func() []byte { return painter.Paint(s.Picture, area, term.Look{}) }
}

// sendAhead tells the painter which pictures the next keys may ask for.
func (t *sheet[D]) sendAhead(coming func() []station.Shot) {
	p := &t.pictures
	of := viewedAhead{t.desk.Version(), t.at, p.painter}
	if p.holding || t.left || t.covered() || p.writing != 0 || of == p.ahead.of {
		return
	}
	same := of.painter == p.ahead.of.painter
	p.ahead.of = of
	var pieces []term.Piece
	for _, s := range coming() {
		pieces = append(pieces, term.Piece{Picture: s.Picture, JPEG: s.Source, Area: t.at.picture.area()})
	}
	if !same || !slices.EqualFunc(pieces, p.ahead.wanted, samePiece) {
		p.ahead.wanted = pieces
		p.painter.Want(pieces)
	}
}

// view is the text of the screen; f is what is being typed.
func (t *sheet[D]) view(f *field, lines func() []string) string {
	of := viewedSheet{version: t.desk.Version(), at: t.at, help: t.help, styles: t.styles, painter: t.pictures.painter}
	if f != nil {
		of.typed, of.cursor, of.selected, of.matches = ":"+string(f.text), f.cursor, f.selected, len(f.matches)
	}
	if t.text.lines == "" || of != t.text.of {
		t.text.of, t.text.lines = of, strings.Join(lines(), "\n")
	}
	return t.text.lines
}

// over are the lines of what covers all else; nil = nothing does.
func (t *sheet[D]) over(help func() pane.Help) []string {
	switch {
	case t.at.small:
		return t.tooSmall()
	case t.help > 0:
		return help().Lines(t.styles, t.at.width, t.at.height)
	}
	return nil
}

// holes are the lines in which the picture is.
func (t *sheet[D]) holes() []string {
	return slices.Repeat([]string{pane.Hole(t.at.picture.cols)}, t.at.picture.rows)
}

// act does what a key is bound to.
func act[D aside, M any](t *sheet[D], keys keymap[M], m M, k term.Key, repeat bool) tea.Cmd {
	b, ok := keys.bound(k.Name)
	switch {
	case t.at.small && b.name != "leave":
	case !ok:
		t.desk.Refuse(fmt.Sprintf("%s does nothing here; %s shows the keys", shown(k.Name), keys.called("help")))
	case b.why != nil && b.why(m) != "":
		t.desk.Refuse(b.why(m))
	case repeat && !b.goesOn:
	default:
		return b.do(m)
	}
	return nil
}

// closer is a desk at which single pixels can be looked at.
type closer interface {
	aside
	InLoupe() bool
	NoLoupe() string
	Pan(station.Pan)
}

// noLoupe says why single pixels cannot be shown; "" = they can, or are.
func noLoupe[D closer](t *sheet[D]) string {
	switch {
	case t.desk.InLoupe():
		return ""
	case !t.pictures.pixels() && t.pictures.probing:
		return "the terminal has not said yet whether it can show single pixels"
	case !t.pictures.pixels():
		return t.pictures.noPixels()
	}
	return t.desk.NoLoupe()
}

// panning are the keys that move the part that is seen.
func panning[M any](desk func(M) closer, why func(M) string) []binding[M] {
	var list []binding[M]
	for _, to := range []struct {
		name, does string
		by         station.Pan
	}{{"pan-left", "to the left", station.Pan{X: -1}}, {"pan-right", "to the right", station.Pan{X: 1}}, {"pan-up", "up", station.Pan{Y: -1}}, {"pan-down", "down", station.Pan{Y: 1}}} {
		list = append(list, binding[M]{name: to.name, group: seeing, does: "there: " + to.does, help: "there: move on", do: does(func(m M) { desk(m).Pan(to.by) }), goesOn: true, why: why})
	}
	return list
}

// tileOf is the part of a tile's place that its picture takes: just above its line of
// text.
func (w *window) tileOf(t station.Tile, r rect) rect {
	if p := t.Picture; p != nil && p.Width > 0 {
		rows := int(math.Ceil(float64(r.cols)*float64(p.Height)/float64(p.Width)/w.pictures.cellShape() - 0.05))
		if rows = max(rows, 1); rows < r.rows {
			r.row, r.rows = r.row+r.rows-rows, rows
		}
	}
	return r
}
