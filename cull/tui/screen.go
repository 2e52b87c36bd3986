package tui

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/muesli/termenv"

	"garner/cull"
	"garner/cull/prepare"
	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// cachedView is the last View and what it was made of: Bubble Tea asks for it
// after every message.
type cachedView struct {
	of   viewed
	text string
	set  bool
}

// viewed is everything that View depends on.
type viewed struct {
	version                   uint64
	waiting, facts            bool
	awake                     bool
	help                      int
	prefix                    string
	dialog                    *dialog
	lines                     int
	review                    *reviewPage
	typed                     string
	cursor, selected, matches int
	at                        areas
	styles                    *pane.Styles
	second                    int64
}

func (m *Model) viewed() viewed {
	v := viewed{version: m.desk.Version(), waiting: m.desk.Waiting(), prefix: m.prefix, facts: m.facts, help: m.help,
		dialog: m.dialog, at: m.at, styles: m.styles, second: m.o.Now().Unix()}
	if m.dialog != nil {
		v.awake, v.lines = m.dialog.awake, len(m.dialog.lines)
	}
	if g := m.field; g != nil {
		v.typed, v.cursor, v.selected, v.matches = g.prompt+":"+string(g.text), g.cursor, g.selected, len(g.matches)
	}
	if m.review != nil {
		v.review, v.selected = m.review, m.review.selected
	}
	return v
}

// View is the text of the screen, with a hole where the picture is.
func (m *Model) View() string {
	of := m.viewed()
	if !m.view.set || m.view.of != of {
		m.view = cachedView{of, strings.Join(m.lines(), "\n"), true}
	}
	return m.view.text
}

// lines puts the panes together, one string a row.
func (m *Model) lines() []string {
	a := m.at
	switch {
	case a.small:
		return m.tooSmall()
	case m.dialog != nil:
		q := pane.Question{Title: m.dialog.title, Text: m.dialog.lines, Sleeping: !m.dialog.awake,
			Keys: []pane.KeyLine{{Keys: []string{"Enter"}, Does: "go on"}}}
		return q.Lines(m.styles, a.width, a.height)
	case m.help > 0:
		return m.helpPane().Lines(m.styles, a.width, a.height)
	case m.review != nil:
		return m.review.pane(m).Rows(m.styles, a.width, a.height)
	}
	out := m.top().Lines(m.styles, a.width, a.top > 1)
	var side, ladder []string
	if a.side.cols > 0 {
		side = m.sideLines(a.side)
	}
	if a.ladder.cols > 0 {
		ladder = m.ladder().Lines(m.styles, a.ladder.cols, a.ladder.rows)
	}
	var fan []string
	if m.desk.Shot().Tiles != nil {
		fan = m.fanLines(a.picture)
	}
	for row := range a.picture.rows {
		var b strings.Builder
		if side != nil {
			b.WriteString(side[row] + " ")
		}
		if fan != nil {
			b.WriteString(fan[row])
		} else {
			b.WriteString(pane.Hole(a.picture.cols))
		}
		if ladder != nil {
			b.WriteString(" " + ladder[row])
		}
		out = append(out, b.String())
	}
	out = append(out, m.ribbon().Line(m.styles, a.width))
	// Behind a view of fewer lines than the last the renderer erases what is below,
	// and with it the cell that the cursor is on: the last one stays empty.
	return append(out, pane.Bottom(m.styles, notice(m.desk.Notice(), m.called("undo")), m.pacePane(), a.width-1))
}

func (m *Model) top() pane.Top {
	p := m.desk.Pass()
	t := pane.Top{Pass: p.Name, Question: p.Question}
	switch m.prefix {
	case "burst":
		t.Pending = fmt.Sprintf("whole burst: %s or %s", m.called("keep"), m.called("drop"))
	case "alike":
		t.Pending = fmt.Sprintf("all alike: %s, %s or %s", m.called("keep"), m.called("drop"), m.called("fan"))
	}
	t.Only, t.OnlyAt, t.OnlyOf, _ = m.desk.Shown()
	h, ok := m.desk.Here()
	if !ok {
		return t
	}
	t.Name, t.Body, t.Scene = h.Frame.Name, h.Letter, h.Scene
	t.Answer, t.Explicit = h.Decision.Answer, h.Decision.Explicit
	t.Facts, t.Marks = station.Glance(h.Frame, h.Place.Corrected), m.desk.Marks(h.Frame)
	t.Position, t.Total, t.Waiting = h.Position, h.Total, m.desk.Waiting()
	t.Merge = m.desk.AsksToMerge()
	for _, a := range m.desk.Alikes() {
		t.Alike += a.Counts.All()
	}
	if m.at.ladder.cols == 0 {
		t.Seen = marks(m.desk.MarksHere())
	}
	t.Hatching, t.Hatched = overlayWords(m.desk.Shot().Overlay)
	if l := m.desk.Shot().Loupe; l != nil {
		t.Loupe = &pane.Loupe{Part: l.Part, Size: l.Size, Sensor: l.Sensor, From: l.From, Face: l.Face, Why: l.Why}
	}
	return t
}

// rungs are the frames of the moment that the pass asks about, and the one under
// the cursor.
func (m *Model) rungs() (cull.MomentKind, []station.Rung) {
	kind, rungs := m.desk.Moment()
	return kind, slices.DeleteFunc(rungs, func(r station.Rung) bool { return !r.Asked && !r.Here })
}

func (m *Model) ladder() pane.Ladder {
	kind, rungs := m.rungs()
	h, _ := m.desk.Here()
	l := pane.Ladder{Kind: kind, Series: h.Place.Series, Pass: m.desk.Pass().Name}
	for _, a := range m.desk.Alikes() {
		l.Alike = append(l.Alike, pane.Alike{Name: a.Name, Body: a.Letter, Kind: a.Kind, Series: a.Series, Counts: a.Counts, After: a.After})
	}
	for _, r := range rungs {
		l.Rungs = append(l.Rungs, rung(r))
	}
	l.Why = m.desk.WhyOfMoment()
	return l
}

func (m *Model) ribbon() pane.Ribbon {
	var r pane.Ribbon
	for _, s := range m.desk.Ribbon() {
		r.Scenes = append(r.Scenes, pane.Span{Name: s.Name, Frames: s.Answers, Here: s.Here})
	}
	return r
}

func (m *Model) pacePane() pane.Pace {
	r := m.desk.Reckoning()
	p := pane.Pace{Pass: m.desk.Pass().Name, Kept: r.Yes, Projected: r.Projected, Goal: r.Goal, PerMinute: r.PerMinute, Left: r.Left, Open: r.Open, All: r.All(), Arrived: r.Arrived}
	for _, s := range m.desk.Ribbon() {
		if s.Here < 0 {
			continue
		}
		p.Scene, p.SceneAll = s.Name, len(s.Answers)
		for _, a := range s.Answers {
			if a != cull.Open {
				p.SceneDone++
			}
		}
	}
	if on, running := m.desk.Preparing(); running {
		p.Preparing = preparing(on)
	} else if on, running := m.desk.Measuring(); running && on.Done < on.Total {
		p.Preparing = fmt.Sprintf("measuring %d/%d", on.Done, on.Total)
		if on.PerSecond > 0 && on.Left > 5*time.Second {
			p.Preparing += ", " + station.Took(on.Left)
		}
	}
	return p
}

// preparing says how far preparation is.
func preparing(p prepare.Progress) string {
	switch {
	case p.Stage == prepare.Scanning && p.Total > 0:
		return fmt.Sprintf("looking for frames %d/%d", p.Done, p.Total)
	case p.Stage == prepare.Pictures && p.Done < p.Total:
		text := fmt.Sprintf("preparing %d/%d", p.Done, p.Total)
		if p.PerSecond > 0 && p.Left > 5*time.Second {
			text += ", " + station.Took(p.Left)
		}
		return text
	case p.Stage == prepare.Grouping:
		return "grouping"
	}
	return "preparing"
}

// sideLines is what stands at the left: go-to, or the facts.
func (m *Model) sideLines(r rect) []string {
	if m.field != nil {
		return m.field.lines(m.styles, r)
	}
	h, _ := m.desk.Here()
	f := pane.Facts{Title: h.Frame.Name}
	for _, group := range m.desk.Facts() {
		var facts []pane.Fact
		for _, fact := range group {
			facts = append(facts, pane.Fact{Label: fact.Label, Value: fact.Value})
		}
		f.Groups = append(f.Groups, facts)
	}
	if why := m.desk.WhyNoFaces(); why != "" {
		f.Groups = append(f.Groups, []pane.Fact{{Label: "faces", Value: why + "; " + m.called("faces") + " answers"}})
	}
	for _, p := range h.Frame.Problems {
		f.Problems = append(f.Problems, p.Text)
	}
	return f.Lines(m.styles, r.cols, r.rows)
}

func (m *Model) helpPane() pane.Help {
	h := helpOf(m.keys, m)
	h.Foot = append(append(pane.Legend(m.desk.Pass().Name), station.MarkLegend()),
		"A key decides only a frame that is on the screen; held down, it decides once. Every decision is on the disk before it is shown.",
		"any key goes back")
	h.Page = m.help - 1
	return h
}

// dress chooses the colours of the text.
func (w *window) dress(c term.Caps) {
	dark := !c.BackgroundKnown || c.DarkBackground
	w.styles = pane.NewStyles(colours(w.o, c), dark)
}

// colours is what the terminal can show of them. NO_COLOR asks for none
// (no-color.org); COLORTERM and TERM say the rest (common practice).
func colours(o Options, c term.Caps) termenv.Profile {
	get := o.Getenv
	if get == nil {
		get = func(string) string { return "" }
	}
	kind := get("TERM")
	switch {
	case o.NoColor || get("NO_COLOR") != "" || kind == "dumb":
		return termenv.Ascii
	case c.TrueColor || get("COLORTERM") == "truecolor" || get("COLORTERM") == "24bit":
		return termenv.TrueColor
	case strings.Contains(kind, "256color") || strings.Contains(kind, "kitty"):
		return termenv.ANSI256
	}
	return termenv.ANSI
}
