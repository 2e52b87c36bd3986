//go:build linux || darwin

package testterm

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
)

// page is the n-th view of a program that draws with the framework the station
// draws with: lines of every length, wide and combining characters, styles.
func page(n, cols, rows int) string {
	rng := rand.New(rand.NewPCG(uint64(n), 0))
	words := []string{"frame", "漢字", "e\u0301", "▀▄█", "A/IMG_0001", "·", "a b", "👍", "déjà"}
	lines := []string{fmt.Sprintf("page %d", n)}
	for height := 1 + rng.IntN(rows-1); len(lines) < height; {
		line, want := "", rng.IntN(cols+10)
		for ansi.StringWidth(line) < want {
			style := lipgloss.NewStyle().Bold(rng.IntN(2) == 0).Strikethrough(rng.IntN(4) == 0).Reverse(rng.IntN(4) == 0)
			if rng.IntN(2) == 0 {
				style = style.Foreground(lipgloss.Color(fmt.Sprint(rng.IntN(256)))).Background(lipgloss.Color("#102030"))
			}
			line += style.Render(words[rng.IntN(len(words))]) + strings.Repeat(" ", rng.IntN(3))
		}
		lines = append(lines, ansi.Truncate(line, cols, ""))
	}
	// Where a view is lower than the one before, the framework (v1.3.10) erases
	// what is below right after the last line; if that is a full one, the wrap
	// is pending and its last cell goes, in xterm as here.
	lines = append(lines, "end")
	return strings.Join(lines, "\n")
}

type pages struct{ n, cols, rows int }

func (p pages) Init() tea.Cmd { return nil }

func (p pages) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		p.cols, p.rows = msg.Width, msg.Height
	case tea.KeyMsg:
		switch msg.String() {
		case "n":
			p.n++
		case "q":
			return p, tea.Quit
		}
	}
	return p, nil
}

func (p pages) View() string {
	if p.rows == 0 {
		return ""
	}
	return page(p.n, p.cols, p.rows)
}

func frameworkChild() int {
	lipgloss.SetColorProfile(termenv.TrueColor)
	if _, err := tea.NewProgram(pages{}, tea.WithAltScreen()).Run(); err != nil {
		return 1
	}
	return 0
}

// TestFramework runs a program of Bubble Tea and holds the screen against what
// its View returned: every line diff of the renderer has to come out as if the
// view had been painted on an empty screen.
func TestFramework(t *testing.T) {
	lipgloss.SetColorProfile(termenv.TrueColor)
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cols, rows := 40, 12
	r := Setup{Cols: cols, Rows: rows, Env: []string{"TESTTERM_CHILD=framework"}}.Start(t, exe)
	for n := range 60 {
		if n == 30 {
			cols, rows = 60, 9
			r.Resize(cols, rows)
		}
		want := New(cols, rows)
		want.Write([]byte(strings.ReplaceAll(page(n, cols, rows), "\n", "\r\n")))
		r.WaitFor(func(g *Grid) bool { return g.Styled() == want.Styled() })
		// The view's own idea of its text, without the grid's part in it.
		var text []string
		for _, l := range strings.Split(ansi.Strip(page(n, cols, rows)), "\n") {
			text = append(text, strings.TrimRight(l, " "))
		}
		if got := want.Text(); got != strings.TrimRight(strings.Join(text, "\n"), "\n") {
			t.Errorf("page %d shows as\n%s\nand is\n%s", n, got, strings.Join(text, "\n"))
		}
		r.Type("n")
	}
	r.WaitText("page 60")
	r.Type("q")
	if code, sig := r.Exit(); code != 0 || sig != 0 {
		t.Errorf("got %d, %v", code, sig)
	}
	end := r.Snapshot()
	if err := end.Clean(); err != nil {
		t.Error(err)
	}
	if c := end.Complaints(); len(c) > 0 {
		t.Error(c)
	}
}
