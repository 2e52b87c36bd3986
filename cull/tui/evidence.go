package tui

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/station"
	"garner/cull/tui/pane"
)

// marks are what the measurements say of a frame, as a pane shows them.
func marks(in []station.Mark) []pane.Mark {
	var out []pane.Mark
	for _, m := range in {
		out = append(out, pane.Mark(m))
	}
	return out
}

// overlayWords says how the picture is hatched, and what that means.
func overlayWords(o station.Overlay) (sign, means string) {
	switch {
	case o.High && o.Low:
		return `/// \\\`, "clipped, black in preview"
	case o.High:
		return "///", "clipped in preview"
	case o.Low:
		return `\\\`, "black in preview"
	}
	return "", ""
}

// noFace says why the loupe cannot go to a face; "" = the desk knows.
func (m *Model) noFace() string {
	if !m.pictures.pixels() {
		return "half blocks and quadrants show no single pixels"
	}
	if why := m.desk.WhyNoFaces(); why != "" {
		return why + "; " + m.called("faces") + " answers"
	}
	return ""
}

// askFaces asks once in a sitting, where it is no hurry, whether faces may be looked
// for: in the line at the bottom, which no key answers but the one for it.
func (m *Model) askFaces() {
	if m.desk.AskFaces() {
		m.desk.Mention("may faces and eyes be looked for in this job? " + m.called("faces") + " answers; nothing is looked for until then")
	}
}

// openFaces lets a person answer whether faces may be looked for, or answer anew.
func (m *Model) openFaces() tea.Cmd {
	f := &field{opener: "faces", prompt: "look for faces?", hint: "type yes or no, then Enter; Esc answers nothing", first: -1, selected: -1, notes: facesNotes}
	if c := m.desk.Faces(); c.Asked {
		now, who := "no", ""
		if c.Yes {
			now = "yes"
		}
		if c.Who != "" {
			who = " by " + c.Who
		}
		f.notes = append([]string{fmt.Sprintf("Answered %s%s on %s.", now, who, c.At.Local().Format("2 January 2006"))}, f.notes...)
	}
	f.find = func(string) []station.Match { return facesAnswers }
	f.matches = facesAnswers
	f.enter = m.answerFaces
	m.field = f
	return nil
}

// facesAnswers are what can be answered.
var facesAnswers = []station.Match{
	{Name: "yes", What: "look for them"},
	{Name: "no", What: "none; removes what was found"},
}

// facesNotes are what one should know before.
var facesNotes = []string{
	"Faces are found and their eyes and sharpness measured on this machine, in the background. What is found is kept in this job alone, and goes with a no.",
	"Nothing is made that tells whose face it is. Still, faces are personal data: the law where you work says whether you may, and whom to ask.",
}

// answerFaces takes the answer that was typed or chosen; nothing else is one.
func (m *Model) answerFaces(f *field) {
	text := string(f.text)
	if f.selected >= 0 && f.selected < len(f.matches) {
		text = f.matches[f.selected].Name
	}
	switch text {
	case "yes", "y":
		m.desk.AnswerFaces(true)
	case "no", "n":
		m.desk.AnswerFaces(false)
	case "":
	default:
		m.desk.Refuse("that is neither yes nor no: nothing is answered")
	}
}
