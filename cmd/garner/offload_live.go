package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"garner/cull"
	"garner/cull/intake"
)

// live is the block on the terminal that shows how far an offload is: a line for
// each card, one for all, one for each destination. It is rewritten in place, each
// time by one write.
type live struct {
	out    io.Writer
	size   func() (columns, rows int)
	before []int // columns of the lines that stand there now
}

// draw replaces what stands there by new lines.
func (l *live) draw(lines []string) {
	columns, _ := l.size()
	var b strings.Builder
	l.goBack(&b, columns)
	l.before = l.before[:0]
	for i, line := range lines {
		line = ansi.Truncate(line, columns-1, "") // the last column would make some terminals wrap
		if i > 0 {
			b.WriteString("\n")
		}
		b.WriteString(line + "\x1b[K")
		l.before = append(l.before, ansi.StringWidth(line))
	}
	b.WriteString("\x1b[J")
	_, _ = io.WriteString(l.out, b.String())
}

// clear takes the block away, so that a sentence can be said.
func (l *live) clear() {
	if len(l.before) == 0 {
		return
	}
	columns, _ := l.size()
	var b strings.Builder
	l.goBack(&b, columns)
	b.WriteString("\x1b[J")
	l.before = l.before[:0]
	_, _ = io.WriteString(l.out, b.String())
}

// goBack goes to the beginning of the block's first line. A terminal that has
// become narrower has wrapped the lines meanwhile.
func (l *live) goBack(b *strings.Builder, columns int) {
	rows := 0
	for _, w := range l.before {
		rows += max(1, (w+columns-1)/columns)
	}
	b.WriteString("\r")
	if rows > 1 {
		fmt.Fprintf(b, "\x1b[%dA", rows-1)
	}
}

// liveLines are the lines of the block. What would not fit on the screen is told by
// a count: finished cards first, then those that wait.
func liveLines(cards []*intake.Card, destinations []target, columns, rows int) []string {
	var lines []string
	shown := cards
	room := max(1, rows-1-len(destinations)-3) // for all, the finished, and the rest
	if len(shown) > room {
		finished := 0
		shown = slices.DeleteFunc(slices.Clone(shown), func(c *intake.Card) bool {
			if c.Ended {
				finished++
			}
			return c.Ended
		})
		if finished > 0 {
			lines = append(lines, count(finished, "card")+" finished")
		}
	}
	more := len(shown) - room
	for _, c := range shown[:min(len(shown), room)] {
		lines = append(lines, cardLine(c, columns))
	}
	if more > 0 {
		lines = append(lines, "and "+count(more, "card")+" more")
	}
	if len(cards) > 1 {
		lines = append(lines, allLine(cards))
	}
	for i, d := range destinations {
		lines = append(lines, destinationLine(i, d, cards, columns))
	}
	return lines[:min(len(lines), max(1, rows-1))]
}

// cardLine is a card, how far it is, how fast it goes and how long it takes.
func cardLine(c *intake.Card, columns int) string {
	name := fitted(cardShort(c), nameColumns(columns))
	switch {
	case c.Ended:
		text := name + "  finished, " + count(c.Copied, "file") + " copied"
		if n := short(c).failed; n > 0 {
			text += fmt.Sprintf(", %d FAILED", n)
		}
		return text
	case c.Began.IsZero():
		return name + "  waits, " + cardAmount(c)
	}
	share := 0.0
	if c.Bytes > 0 {
		share = min(1, float64(c.DoneBytes)/float64(c.Bytes))
	}
	text := fmt.Sprintf("%s  %s %3d %%", name, bar(share, 12), int(100*share))
	if c.PerSecond > 0 {
		text += fmt.Sprintf("  %s/s", size(int64(c.PerSecond)))
	}
	if c.Left > 0 {
		text += "  " + left(c.Left)
	}
	return text
}

// allLine is the sum over all cards.
func allLine(cards []*intake.Card) string {
	var files, doneFiles int
	var bytes, doneBytes int64
	var perSecond float64
	for _, c := range cards {
		files, doneFiles = files+c.Files, doneFiles+c.DoneFiles
		bytes, doneBytes = bytes+c.Bytes, doneBytes+c.DoneBytes
		if !c.Ended {
			perSecond += c.PerSecond
		}
	}
	text := fmt.Sprintf("all: %d of %s, %s of %s", doneFiles, count(files, "file"), size(doneBytes), size(bytes))
	if perSecond > 0 && bytes > doneBytes {
		text += ", " + left(time.Duration(float64(bytes-doneBytes)/perSecond*float64(time.Second)))
	}
	return text
}

// destinationLine is what is being done at one destination.
func destinationLine(i int, d target, cards []*intake.Card, columns int) string {
	var doing []string
	for _, c := range cards {
		if i < len(c.Activities) && c.Activities[i] != "" && !c.Ended && !slices.Contains(doing, c.Activities[i]) {
			doing = append(doing, c.Activities[i])
		}
	}
	slices.Sort(doing)
	what := strings.Join(doing, ", ")
	switch {
	case d.Down != "":
		return destinationName(d, columns) + "  STOPPED: " + cull.Plain(d.Down)
	case what == "":
		what = "-"
	}
	text := destinationName(d, columns) + "  " + what + "  " + size(d.written)
	if free := ", " + size(max(d.Free-d.written, 0)) + " free"; d.Free > 0 && ansi.StringWidth(text+free) < columns {
		text += free
	}
	return text
}

func destinationName(d target, columns int) string {
	name := nameColumns(columns)
	return fitted("to "+tailOf(cull.Plain(d.Root), name-3), name)
}

// nameColumns is the room for a name: the rest is for bar, rate and time left.
func nameColumns(columns int) int { return max(16, min(40, columns-49)) }

// bar draws a share of 0 to 1 with signs that every terminal and font has.
func bar(share float64, cells int) string {
	full := int(share * float64(cells))
	return "[" + strings.Repeat("#", full) + strings.Repeat(".", cells-full) + "]"
}

// fitted is a text at exactly so many columns.
func fitted(s string, columns int) string {
	s = ansi.Truncate(s, columns, "..")
	return s + strings.Repeat(" ", max(0, columns-ansi.StringWidth(s)))
}

// tailOf is the end of a path that is too long.
func tailOf(s string, columns int) string {
	if over := ansi.StringWidth(s) - columns; over > 0 {
		return ansi.TruncateLeft(s, over+2, "..")
	}
	return s
}
