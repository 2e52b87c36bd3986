package tui

import (
	"context"
	"fmt"
	"image"
	"os"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// Trial is the full screen on which sets are looked at before they are cut.
type Trial struct {
	window
	desk *station.Trial
	keys keymap[*Trial]
	at   areas
	view struct {
		of   viewedTrial
		text string
	}
	ahead viewedTrial
}

// viewedTrial is everything that what is drawn depends on.
type viewedTrial struct {
	version uint64
	at      areas
	help    int
	styles  *pane.Styles
	painter *term.Painter
}

// RunTrial shows sets on a terminal, as Run does with the station.
func RunTrial(ctx context.Context, t *station.Trial, in, out *os.File, o Options) error {
	return run(ctx, in, out, o, func(s Screen, width, height int, o Options) (full, error) { return NewTrial(t, s, width, height, o) })
}

// NewTrial makes the model of a desk.
func NewTrial(d *station.Trial, s Screen, width, height int, o Options) (*Trial, error) {
	keys, err := newKeymap(o.Keys, trialBindings())
	if err != nil {
		return nil, err
	}
	t := &Trial{window: window{o: o, screen: s, width: width, height: height}, desk: d, keys: keys}
	t.dress(term.Caps{})
	t.pictures = newPictures(o, s)
	t.fit()
	return t, nil
}

// trialBindings are the keys of that screen: where they mean the same as in the
// station they are the station's.
func trialBindings() []binding[*Trial] {
	walk := func(step int) func(*Trial) tea.Cmd { return does(func(t *Trial) { t.desk.Walk(step) }) }
	sets := func(step int) func(*Trial) tea.Cmd { return does(func(t *Trial) { t.desk.WalkSets(step) }) }
	pan := func(x, y int) func(*Trial) tea.Cmd {
		return does(func(t *Trial) { t.desk.Pan(station.Pan{X: x, Y: y}) })
	}
	return []binding[*Trial]{
		{name: "previous-moment", group: walking, does: "previous picture", help: "picture by picture", do: walk(-1), goesOn: true},
		{name: "next-moment", group: walking, does: "next picture", help: "picture by picture", do: walk(1), goesOn: true},
		{name: "ladder-up", group: walking, does: "the same picture in the previous set", help: "set by set", do: sets(-1), goesOn: true},
		{name: "ladder-down", group: walking, does: "the same picture in the next set", help: "set by set", do: sets(1), goesOn: true},
		{name: "next-pass", group: walking, does: "the same picture in the next set, too", do: sets(1), goesOn: true},

		{name: "loupe", group: seeing, does: "the file's pixels 1:1, at the stamp first; and back", do: does(func(t *Trial) { t.desk.ToggleLoupe() }), why: (*Trial).noLoupe},
		{name: "pan-left", group: seeing, does: "there: to the left", help: "there: move on", do: pan(-1, 0), goesOn: true, why: (*Trial).notClose},
		{name: "pan-right", group: seeing, does: "there: to the right", help: "there: move on", do: pan(1, 0), goesOn: true, why: (*Trial).notClose},
		{name: "pan-up", group: seeing, does: "there: up", help: "there: move on", do: pan(0, -1), goesOn: true, why: (*Trial).notClose},
		{name: "pan-down", group: seeing, does: "there: down", help: "there: move on", do: pan(0, 1), goesOn: true, why: (*Trial).notClose},
		{name: "cut-away", keys: []string{"x"}, group: seeing, does: "what the set cuts away of the picture; and back", do: does(func(t *Trial) { t.desk.ToggleUncut() }), why: func(t *Trial) string { return t.desk.NothingCut() }},

		{name: "help", group: leaving, does: "these keys", do: does(func(t *Trial) { t.help = 1 })},
		{name: "leave", group: leaving, does: "leave; nothing was written", do: func(t *Trial) tea.Cmd { return t.leave() }},
	}
}

// Init asks for news.
func (t *Trial) Init() tea.Cmd { return tea.Batch(await(t.desk), t.pictures.begin()) }

// Update folds a message in.
func (t *Trial) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case keyMsg:
		cmd = t.key(term.Key(msg))
	case broughtMsg:
		t.desk.Take(msg.news)
		if cmd = await(t.desk); t.desk.Broke() != nil {
			t.ended = t.desk.Broke()
			cmd = t.leave()
		}
	default:
		cmd = t.window.update(t, msg)
	}
	t.fit()
	cmd = tea.Batch(cmd, t.window.show(t))
	t.sendAhead()
	return t, cmd
}

// key does what a key asks for.
func (t *Trial) key(k term.Key) tea.Cmd {
	repeat := t.desk.Held(t.press(k))
	if k.Name == "ctrl+c" {
		return t.leave()
	}
	if t.help > 0 {
		if !repeat {
			t.turnHelp(t, t.keys.of("help").has(k.Name), t.helpPane())
		}
		return nil
	}
	b, ok := t.keys.bound(k.Name)
	switch {
	case t.at.small && (!ok || b.name != "leave"):
	case k.Name == "esc":
		t.back()
	case !ok:
		t.desk.Refuse(fmt.Sprintf("%s does nothing here; %s shows the keys", shown(k.Name), t.keys.called("help")))
	case b.why != nil && b.why(t) != "":
		t.desk.Refuse(b.why(t))
	case repeat && !b.goesOn:
	default:
		return b.do(t)
	}
	return nil
}

// back goes back to the whole file.
func (t *Trial) back() {
	switch {
	case t.desk.InLoupe():
		t.desk.ToggleLoupe()
	case t.desk.Uncut():
		t.desk.ToggleUncut()
	}
}

func (t *Trial) noLoupe() string {
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

func (t *Trial) notClose() string {
	if !t.desk.InLoupe() {
		return "the file is not seen 1:1; " + t.keys.called("loupe") + " shows it so"
	}
	return ""
}

// fit divides the screen: two lines above the picture, one below it.
func (t *Trial) fit() {
	a := areas{width: t.width, height: t.height, top: 2, small: t.width < minWidth || t.height < minHeight}
	if !a.small {
		a.picture = rect{0, a.top, t.width - 1, t.height - a.top - 1}
	}
	if t.at = a; a.small {
		return
	}
	area := a.picture.area()
	t.desk.SetEdge(t.pictures.edge(area))
	t.desk.KeepSources(t.pictures.mode == term.Inline)
	room := image.Point{}
	if t.pictures.pixels() {
		room = t.pictures.size(area)
	}
	t.desk.SetRoom(room)
}

// The pictures of the trial as the subject of the window.

func (t *Trial) table() table  { return t.desk }
func (t *Trial) covered() bool { return t.help > 0 || t.at.small }
func (t *Trial) landed()       {}

func (t *Trial) seen() seen {
	s := t.desk.Shot()
	return seen{s.ID, s.Whole, s.Picture != nil}
}

func (t *Trial) draw() func() []byte {
	s, area, painter := t.desk.Shot(), t.at.picture.area(), t.pictures.painter
	if s.Picture == nil {
		lines := t.message(s, area.Cols, area.Rows)
		return func() []byte { return painter.Text(lines, area) }
	}
	return func() []byte { return painter.Paint(s.Picture, area, term.Look{}) }
}

// sendAhead tells the painter which pictures the next keys may ask for.
func (t *Trial) sendAhead() {
	p := &t.pictures
	of := viewedTrial{version: t.desk.Version(), at: t.at, painter: p.painter}
	if p.holding || t.left || t.covered() || p.writing != 0 || of == t.ahead {
		return
	}
	t.ahead = of
	var pieces []term.Piece
	for _, s := range t.desk.Coming() {
		pieces = append(pieces, term.Piece{Picture: s.Picture, JPEG: s.Source, Area: t.at.picture.area()})
	}
	if !slices.EqualFunc(pieces, p.ahead.wanted, samePiece) || p.ahead.of.painter != p.painter {
		p.ahead.wanted, p.ahead.of.painter = pieces, p.painter
		p.painter.Want(pieces)
	}
}

// View is the text of the screen, with a hole where the picture is.
func (t *Trial) View() string {
	of := viewedTrial{t.desk.Version(), t.at, t.help, t.styles, t.pictures.painter}
	if t.view.text == "" || of != t.view.of {
		t.view.of, t.view.text = of, strings.Join(t.lines(), "\n")
	}
	return t.view.text
}

func (t *Trial) lines() []string {
	a := t.at
	switch {
	case a.small:
		return t.tooSmall()
	case t.help > 0:
		return t.helpPane().Lines(t.styles, a.width, a.height)
	}
	p := t.pane()
	lines := p.Top(t.styles, a.width)
	for range a.picture.rows {
		lines = append(lines, pane.Hole(a.picture.cols))
	}
	return append(lines, p.Bottom(t.styles, a.width-1))
}

// pane is what is said of the picture.
func (t *Trial) pane() pane.Trial {
	h := t.desk.Here()
	p := pane.Trial{Set: h.Set.Name, SetAt: h.SetAt, SetsAll: h.SetsAll, Picture: h.Picture, At: h.At, Total: h.Total,
		File: h.Name.File, Number: h.Name.Number, NoName: h.NoName, Cutting: h.Cut == nil && h.Why == "", Notice: notice(t.desk.Notice(), "")}
	p.Facts, p.Remarks = station.TrialFacts(h), nil
	if h.Cut != nil {
		p.Remarks = h.Cut.Remarks
	}
	if t.desk.Uncut() {
		p.Seen = "what is cut away"
	}
	if l := h.Loupe; l != nil {
		p.Loupe = &pane.Loupe{Part: l.Part, Size: l.Size, From: l.From}
	}
	p.Hint = t.hint()
	return p
}

// hint names the keys that one needs here.
func (t *Trial) hint() string {
	k := t.keys
	hints := []string{k.called("previous-moment") + k.called("next-moment") + " pictures", k.called("ladder-up") + k.called("ladder-down") + " sets"}
	if t.noLoupe() == "" {
		hints = append(hints, k.called("loupe")+" 1:1")
	}
	if t.desk.NothingCut() == "" {
		hints = append(hints, k.called("cut-away")+" what is cut away")
	}
	return strings.Join(append(hints, k.called("help")+" keys", k.called("leave")+" leave"), "   ")
}

func (t *Trial) helpPane() pane.Help {
	h := helpOf(t.keys, t)
	h.Foot = []string{"What is shown are the very bytes that garner render would write. Nothing is written here.", "any key goes back"}
	h.Page = t.help - 1
	return h
}
