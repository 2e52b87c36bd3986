package tui

import (
	"context"
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
	sheet[*station.Trial]
	keys keymap[*Trial]
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
	t := &Trial{newSheet(d, s, width, height, o), keys}
	t.fit()
	return t, nil
}

// trialBindings are the keys of that screen: where they mean the same as in the
// station they are the station's.
func trialBindings() []binding[*Trial] {
	walk := func(step int) func(*Trial) tea.Cmd { return does(func(t *Trial) { t.desk.Walk(step) }) }
	sets := func(step int) func(*Trial) tea.Cmd { return does(func(t *Trial) { t.desk.WalkSets(step) }) }
	return slices.Concat([]binding[*Trial]{
		{name: "previous-moment", group: walking, does: "previous picture", help: "picture by picture", do: walk(-1), goesOn: true},
		{name: "next-moment", group: walking, does: "next picture", help: "picture by picture", do: walk(1), goesOn: true},
		{name: "ladder-up", group: walking, does: "the same picture in the previous set", help: "set by set", do: sets(-1), goesOn: true},
		{name: "ladder-down", group: walking, does: "the same picture in the next set", help: "set by set", do: sets(1), goesOn: true},
		{name: "next-pass", group: walking, does: "the same picture in the next set, too", do: sets(1), goesOn: true},

		{name: "loupe", group: seeing, does: "the file's pixels 1:1, at the stamp first; and back", do: does(func(t *Trial) { t.desk.ToggleLoupe() }), why: (*Trial).noLoupe},
	}, panning(func(t *Trial) closer { return t.desk }, (*Trial).notClose), []binding[*Trial]{
		{name: "cut-away", keys: []string{"x"}, group: seeing, does: "what the set cuts away of the picture; and back", do: does(func(t *Trial) { t.desk.ToggleUncut() }), why: func(t *Trial) string { return t.desk.NothingCut() }},

		{name: "help", group: leaving, does: "these keys", do: does(func(t *Trial) { t.help = 1 })},
		{name: "leave", group: leaving, does: "leave; nothing was written", do: func(t *Trial) tea.Cmd { return t.leave() }},
	})
}

// Update folds a message in.
func (t *Trial) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case keyMsg:
		cmd = t.key(term.Key(msg))
	case broughtMsg:
		cmd = t.brought(msg.news)
	default:
		cmd = t.window.update(t, msg)
	}
	t.fit()
	cmd = tea.Batch(cmd, t.window.show(t))
	t.sendAhead(t.desk.Coming)
	return t, cmd
}

// key does what a key asks for.
func (t *Trial) key(k term.Key) tea.Cmd {
	repeat := t.desk.Held(t.press(k))
	switch {
	case k.Name == "ctrl+c":
		return t.leave()
	case t.help > 0:
		if !repeat {
			t.turnHelp(t, t.keys.of("help").has(k.Name), t.helpPane())
		}
		return nil
	case k.Name == "esc" && !t.at.small:
		t.back()
		return nil
	}
	return act(&t.sheet, t.keys, t, k, repeat)
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

func (t *Trial) noLoupe() string { return noLoupe(&t.sheet) }

func (t *Trial) notClose() string {
	if !t.desk.InLoupe() {
		return "the file is not seen 1:1; " + t.keys.called("loupe") + " shows it so"
	}
	return ""
}

// fit divides the screen.
func (t *Trial) fit() {
	if t.divide() {
		t.desk.SetEdge(t.pictures.edge(t.at.picture.area()))
		t.desk.KeepSources(t.pictures.mode == term.Inline)
		t.desk.SetRoom(t.room())
	}
}

func (t *Trial) seen() seen {
	s := t.desk.Shot()
	return seen{s.ID, s.Whole, s.Picture != nil}
}

func (t *Trial) draw() func() []byte { return t.paint(t.desk.Shot()) }

// View is the text of the screen, with a hole where the picture is.
func (t *Trial) View() string { return t.view(nil, t.lines) }

func (t *Trial) lines() []string {
	if lines := t.over(t.helpPane); lines != nil {
		return lines
	}
	p := t.pane()
	return append(append(p.Top(t.styles, t.at.width), t.holes()...), p.Bottom(t.styles, t.at.width-1))
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
