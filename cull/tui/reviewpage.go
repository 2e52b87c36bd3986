package tui

import (
	"fmt"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/review"
	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// reviewPage is what may be missing before handoff, in place of the picture.
type reviewPage struct {
	page     review.Page
	selected int
}

// openReview shows the page. Where a part of the job is walked, all is again, and the
// page opens on the line that it came from.
func (m *Model) openReview() tea.Cmd {
	name, _, _, _ := m.desk.Shown()
	m.desk.ShowAll()
	r := &reviewPage{page: m.desk.Review()}
	at := slices.IndexFunc(r.page.Lines, func(l review.Line) bool { return station.LineName(l) == name })
	if at >= 0 {
		r.selected = at
	} else if name != "" { // the line is done with, or says another number by now
		r.selected = min(m.reviewed, max(0, len(r.page.Lines)-1))
	}
	m.review = r
	m.desk.AskStands()
	m.desk.Hidden()
	return nil
}

// reviewKey goes along the lines; Enter walks the frames of one.
func (m *Model) reviewKey(k term.Key, repeat bool) {
	r := m.review
	last := len(r.page.Lines) - 1
	switch {
	case k.Name == "up":
		r.selected = max(0, r.selected-1)
	case k.Name == "down":
		r.selected = max(0, min(last, r.selected+1))
	case k.Name == "pgup" || k.Name == "home":
		r.selected = 0
	case k.Name == "pgdown" || k.Name == "end":
		r.selected = max(0, last)
	case repeat: // the key that opened it, held
	case k.Name == "esc" || m.keys.of("review").has(k.Name) || m.keys.of("leave").has(k.Name):
		m.closeReview()
	case k.Name == "enter" && r.selected <= last:
		m.reviewed = r.selected
		m.closeReview()
		m.desk.ShowLine(r.page.Lines[r.selected])
	}
}

func (m *Model) closeReview() {
	m.review = nil
	m.desk.Redraw()
}

// pane is the page as it is drawn.
func (r *reviewPage) pane(m *Model) pane.Review {
	n := len(r.page.Lines)
	p := pane.Review{Title: fmt.Sprintf("before handoff: %d of %d kept", r.page.Kept, r.page.Frames), Selected: r.selected, Stands: m.desk.Stands(), Hint: "Enter: walk the frames of a line alone   Esc: back"}
	if r.page.Goal > 0 {
		p.Title += fmt.Sprintf(", goal %d", r.page.Goal)
	}
	if n > 0 {
		p.Title += fmt.Sprintf("; %d to look at", n)
	}
	for _, l := range r.page.Lines {
		p.Lines = append(p.Lines, pane.ReviewLine{Text: l.Text, Nothing: len(l.Frames) == 0})
	}
	for _, t := range []struct {
		name   string
		shares []review.Share
	}{{"scene", r.page.ByScene}, {"hour", r.page.ByHour}, {"body", r.page.ByBody}} {
		table := pane.ShareTable{Name: t.name}
		for _, s := range t.shares {
			table.Shares = append(table.Shares, pane.Share{Name: s.Name, Kept: s.Kept, Frames: s.Frames, Goal: s.Goal})
		}
		if len(table.Shares) > 0 {
			p.Tables = append(p.Tables, table)
		}
	}
	return p
}
