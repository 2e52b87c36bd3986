package pane

import (
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"

	"garner/cull"
)

const (
	more = "…"
	// maxText bounds what of one string is looked at: no screen holds more.
	maxText = 8 << 10
)

// clean makes a string out of a file fit to stand in a line: no control or
// hidden characters, and none of whose width terminals have different opinions
// (emoji sequences, flags, lone combining marks), since they would push the rest
// of the line out of its place.
func clean(s string) string {
	if len(s) > maxText {
		end := maxText
		for end > maxText-utf8.UTFMax && !utf8.RuneStart(s[end]) {
			end--
		}
		s = s[:end] + more
	}
	s = cull.Plain(s)
	if ascii(s) {
		return s
	}
	var b strings.Builder
	for rest := s; rest != ""; {
		cluster, width := ansi.FirstGraphemeCluster(rest, ansi.GraphemeWidth)
		rest = rest[len(cluster):]
		first, n := utf8.DecodeRuneInString(cluster)
		switch base := cluster[:n]; {
		case regional(first):
			b.WriteByte('?')
		case agreed(cluster, width):
			b.WriteString(cluster)
		case agreed(base, ansi.StringWidth(base)):
			b.WriteString(base)
		default:
			b.WriteByte('?')
		}
	}
	return b.String()
}

// agreed reports whether a cluster takes the same room by graphemes and by the
// sum of its characters: terminals count one way or the other.
func agreed(cluster string, width int) bool {
	return width > 0 && width <= 2 && ansi.StringWidthWc(cluster) == width
}

// regional reports the letters of flags, which join in pairs, across strings too.
func regional(r rune) bool { return r >= 0x1F1E6 && r <= 0x1F1FF }

func ascii(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

func cleanAll(list []string) []string {
	out := make([]string, 0, len(list))
	for _, s := range list {
		if s = clean(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// width is the number of cells of plain text.
func width(s string) int {
	if ascii(s) {
		return len(s)
	}
	return ansi.StringWidth(s)
}

// cut shortens plain text to at most w cells.
func cut(s string, w int) string {
	if w <= 0 {
		return ""
	}
	if width(s) <= w {
		return s
	}
	return ansi.Truncate(s, w, more)
}

// cutLeft shortens plain text from the left: the end of a frame's name is what
// tells it from its neighbours.
func cutLeft(s string, w int) string {
	have := width(s)
	switch {
	case w <= 0:
		return ""
	case have <= w:
		return s
	}
	return cut(ansi.TruncateLeft(s, have-w+1, more), w)
}

// wrap breaks plain text into lines of at most w cells.
func wrap(s string, w int) []string {
	if w <= 0 || s == "" {
		return nil
	}
	lines := strings.Split(ansi.Wrap(s, w, ""), "\n")
	for i := range lines {
		lines[i] = cut(strings.TrimRight(lines[i], " "), w)
	}
	return lines
}

func spaces(n int) string { return strings.Repeat(" ", max(0, n)) }

// number writes n with its thousands apart.
func number(n int) string {
	digits := strconv.Itoa(n)
	sign := ""
	if n < 0 {
		sign, digits = "-", digits[1:]
	}
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + "," + digits[i:]
	}
	return sign + digits
}

// remaining is a time that is left, in words, as exact as it is worth.
func remaining(t time.Duration) string {
	switch minutes := int(t.Minutes() + 0.5); {
	case t < 90*time.Second:
		return strconv.Itoa(max(1, int(t.Seconds()+0.5))) + " s left"
	case minutes < 60:
		return strconv.Itoa(minutes) + " min left"
	case minutes < 48*60:
		return strconv.Itoa(minutes/60) + " h " + strconv.Itoa(minutes%60) + " min left"
	default:
		return number(minutes/60) + " h left"
	}
}

// since is the time from the first frame of a moment to another: in seconds, with
// the unit where there is room for it, or in minutes and seconds. Longest first.
func since(t time.Duration) []string {
	sign := ""
	if t < 0 {
		sign, t = "-", max(-t, 0)
	}
	seconds := ""
	switch {
	case t < 10*time.Second:
		seconds = sign + strconv.FormatFloat(t.Seconds(), 'f', 2, 64)
	case t < time.Minute:
		seconds = sign + strconv.FormatFloat(t.Seconds(), 'f', 1, 64)
	case t < time.Hour:
		return []string{sign + strconv.Itoa(int(t.Minutes())) + ":" + two(int(t.Seconds())%60)}
	default:
		return []string{sign + number(int(t.Hours())) + ":" + two(int(t.Minutes())%60) + ":" + two(int(t.Seconds())%60)}
	}
	return []string{seconds + " s", seconds}
}

func two(n int) string {
	if n < 10 {
		return "0" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}
