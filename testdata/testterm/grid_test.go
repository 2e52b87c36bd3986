package testterm

import (
	"strings"
	"testing"
)

// stream is a stream of bytes and the text it leaves on a screen of 10x4. The
// same table is fed to a real terminal multiplexer in tmux_test.go.
type stream struct {
	name string // what, and where it is specified
	in   string
	want string
	tmux string // where tmux is known to differ: what it shows, and why below
}

func streams() []stream {
	const (
		ten  = "0123456789"
		page = "aaa\r\nbbb\r\nccc\r\nddd"
	)
	return []stream{
		{name: "text", in: "hello", want: "hello"},
		{name: "CR LF (ECMA-48 8.3.15, 8.3.74)", in: "one\r\ntwo", want: "one\ntwo"},
		{name: "LF keeps the column (ECMA-48 8.3.74)", in: "one\ntwo", want: "one\n   two"},
		{name: "CR overwrites", in: "one\rT", want: "Tne"},
		{name: "BS (ECMA-48 8.3.5)", in: "abc\b\bX", want: "aXc"},
		{name: "BS stops at the margin", in: "a\b\b\bX", want: "X"},
		{name: "HT every eight (ECMA-48 8.3.60)", in: "a\tb", want: "a       b"},
		{name: "HT stops at the last column", in: "\t\tx", want: "         x"},
		{name: "text wraps (DECAWM)", in: ten + "ab", want: ten + "\nab"},
		{name: "a full line does not wrap yet (DECAWM)", in: ten + "\r\nab", want: ten + "\nab"},
		{name: "CR in pending wrap", in: ten + "\rab", want: "ab23456789"},
		{name: "EL 0 in pending wrap erases the last cell (xterm)", in: ten + "\x1b[K", want: "012345678",
			// In tmux the cursor then stands behind the last column.
			tmux: ten},
		{name: "SGR keeps the pending wrap", in: ten + "\x1b[1ma", want: ten + "\na"},
		{name: "CUP ends the pending wrap", in: ten + "\x1b[1;10Ha", want: "012345678a"},
		{name: "scroll at the bottom", in: "1\r\n2\r\n3\r\n4\r\n5", want: "2\n3\n4\n5"},
		{name: "wrap at the bottom scrolls", in: "1\r\n2\r\n3\r\n" + ten + "ab", want: "2\n3\n" + ten + "\nab"},
		{name: "DECAWM off", in: "\x1b[?7l" + ten + "ab\x1b[?7h", want: "012345678b"},

		{name: "CUP (ECMA-48 8.3.21)", in: "\x1b[2;3Hx", want: "\n  x"},
		{name: "CUP without parameters", in: "abc\x1b[Hx", want: "xbc"},
		{name: "CUP zeros are ones", in: "abc\x1b[0;0Hx", want: "xbc"},
		{name: "CUP is clamped", in: "\x1b[99;99Hx", want: "\n\n\n         x"},
		{name: "HVP (ECMA-48 8.3.63)", in: "\x1b[3;2fx", want: "\n\n x"},
		{name: "CUU (ECMA-48 8.3.22)", in: page + "\x1b[2AX", want: "aaa\nbbbX\nccc\nddd"},
		{name: "CUU stops at the top", in: page + "\x1b[9AX", want: "aaaX\nbbb\nccc\nddd"},
		{name: "CUD (ECMA-48 8.3.19)", in: "a\x1b[2Bb", want: "a\n\n b"},
		{name: "CUD stops at the bottom, no scroll", in: "a\x1b[9Bb", want: "a\n\n\n b"},
		{name: "CUF (ECMA-48 8.3.20)", in: "a\x1b[3Cb", want: "a   b"},
		{name: "CUF stops", in: "a\x1b[99Cb", want: "a        b"},
		{name: "CUB (ECMA-48 8.3.18)", in: "abcd\x1b[2DX", want: "abXd"},
		{name: "CNL (ECMA-48 8.3.12)", in: "abc\x1b[2Ex", want: "abc\n\nx"},
		{name: "CPL (ECMA-48 8.3.13)", in: page + "\x1b[Fx", want: "aaa\nbbb\nxcc\nddd"},
		{name: "CHA (ECMA-48 8.3.9)", in: "abc\x1b[2GX", want: "aXc"},
		{name: "HPA (ECMA-48 8.3.57)", in: "abc\x1b[5`X", want: "abc X"},
		{name: "VPA (ECMA-48 8.3.158)", in: "abc\x1b[3dX", want: "abc\n\n   X"},
		{name: "DECSC DECRC (xterm ctlseqs ESC 7, ESC 8)", in: "ab\x1b7\x1b[4;4Hx\x1b8c", want: "abc\n\n\n   x"},
		{name: "SCOSC SCORC (xterm ctlseqs CSI s, CSI u)", in: "ab\x1b[s\x1b[4;4Hx\x1b[uc", want: "abc\n\n\n   x"},
		{name: "IND (xterm ctlseqs ESC D)", in: "a\x1bDb", want: "a\n b"},
		{name: "NEL (ECMA-48 8.3.86)", in: "a\x1bEb", want: "a\nb"},
		{name: "RI scrolls at the top (ECMA-48 8.3.104)", in: page + "\x1b[H\x1bMx", want: "x\naaa\nbbb\nccc"},
		{name: "HTS TBC (ECMA-48 8.3.62, 8.3.154)", in: "\x1b[3g\x1b[5G\x1bH\r\tx", want: "    x"},
		{name: "CBT (ECMA-48 8.3.7)", in: "abcdefghi\x1b[Zx", want: "abcdefghx"},

		{name: "EL 0 (ECMA-48 8.3.41)", in: "abcdef\x1b[3G\x1b[K", want: "ab"},
		{name: "EL 1 includes the cursor", in: "abcdef\x1b[3G\x1b[1K", want: "   def"},
		{name: "EL 2 keeps the cursor", in: "abcdef\x1b[3G\x1b[2Kx", want: "  x"},
		{name: "ED 0 (ECMA-48 8.3.39)", in: page + "\x1b[2;2H\x1b[J", want: "aaa\nb"},
		{name: "ED 1", in: page + "\x1b[2;2H\x1b[1J", want: "\n  b\nccc\nddd"},
		{name: "ED 2 keeps the cursor", in: page + "\x1b[2;2H\x1b[2Jx", want: "\n x"},
		{name: "ED 3 leaves the screen (xterm)", in: page + "\x1b[3J", want: page},
		{name: "ECH (ECMA-48 8.3.38)", in: "abcdef\x1b[2G\x1b[3X", want: "a   ef"},
		{name: "ECH stops at the end", in: "abcdef\x1b[2G\x1b[99X", want: "a"},
		{name: "ICH (ECMA-48 8.3.64)", in: "abcdef\x1b[2G\x1b[2@", want: "a  bcdef"},
		{name: "DCH (ECMA-48 8.3.26)", in: "abcdef\x1b[2G\x1b[2P", want: "adef"},
		{name: "IL (ECMA-48 8.3.67)", in: page + "\x1b[2;1H\x1b[L", want: "aaa\n\nbbb\nccc"},
		{name: "DL (ECMA-48 8.3.32)", in: page + "\x1b[2;1H\x1b[M", want: "aaa\nccc\nddd"},
		{name: "SU (ECMA-48 8.3.147)", in: page + "\x1b[S", want: "bbb\nccc\nddd"},
		{name: "SD (ECMA-48 8.3.113)", in: page + "\x1b[T", want: "\naaa\nbbb\nccc"},
		{name: "DECSTBM scrolls its part (xterm ctlseqs CSI r)", in: page + "\x1b[2;3r\x1b[3;1H\nX", want: "aaa\nccc\nX\nddd"},
		{name: "DECSTBM homes the cursor", in: page + "\x1b[2;3rX", want: "Xaa\nbbb\nccc\nddd"},
		{name: "LF below the margins does not scroll", in: page + "\x1b[1;2r\x1b[4;1H\nX", want: "aaa\nbbb\nccc\nXdd"},

		{name: "wide", in: "a漢b", want: "a漢b"},
		{name: "wide moves by two", in: "漢\x1b[3Gx", want: "漢x"},
		{name: "wide does not fit", in: "012345678漢", want: "012345678\n漢"},
		{name: "wide in the last two", in: "01234567漢x", want: "01234567漢\nx"},
		{name: "left half overwritten", in: "a漢b\x1b[2GX", want: "aX b"},
		{name: "right half overwritten", in: "a漢b\x1b[3GX", want: "a Xb"},
		{name: "combining", in: "e\u0301x", want: "e\u0301x"},
		{name: "combining at the end of the line", in: "012345678e\u0301x", want: "012345678e\u0301\nx"},
		{name: "combining after a change of colour", in: "e\x1b[1m\u0301x", want: "e\u0301x"},
		{name: "half blocks", in: "\x1b[38;2;1;2;3;48;5;4m▀▄\x1b[m", want: "▀▄"},

		{name: "alternate screen (xterm ctlseqs 1049)", in: "abc\x1b[?1049hxyz", want: "   xyz"},
		{name: "alternate screen and back", in: "abc\x1b[?1049hxyz\x1b[4;4H\x1b[?1049ld", want: "abcd"},
		{name: "alternate screen is clean each time", in: "a\x1b[?1049h\x1b[Hxyz\x1b[?1049l\x1b[?1049hb", want: " b"},
		{name: "OSC ended by BEL (xterm)", in: "a\x1b]2;title\x07b", want: "ab"},
		{name: "OSC ended by ST (ECMA-48 8.3.89)", in: "a\x1b]2;title\x1b\\b", want: "ab"},
		{name: "APC (ECMA-48 8.3.2)", in: "a\x1b_Ga=d\x1b\\b", want: "ab"},
		{name: "DCS (ECMA-48 8.3.27)", in: "a\x1bPq#0\x1b\\b", want: "ab"},
		{name: "CAN abandons (ECMA-48 8.3.6)", in: "a\x1b[31\x18b", want: "ab"},
		{name: "ESC begins anew", in: "a\x1b[3\x1b[2;2Hb", want: "a\n b"},
		{name: "controls inside a sequence act", in: "a\x1b[\r2Cb", want: "a b"},
		{name: "private parameters are no SGR", in: "a\x1b[>4;1mb", want: "ab"},
		{name: "RIS (ECMA-48 8.3.105)", in: page + "\x1b[1m\x1bcx", want: "x"},
	}
}

func TestStreams(t *testing.T) {
	for _, s := range streams() {
		t.Run(s.name, func(t *testing.T) {
			whole, split := New(10, 4), New(10, 4)
			whole.Write([]byte(s.in))
			if got := whole.Text(); got != cut(s.want) {
				t.Errorf("got\n%q, want\n%q", got, cut(s.want))
			}
			for i := range len(s.in) {
				split.Write([]byte(s.in[i : i+1]))
			}
			if got := split.Styled(); got != whole.Styled() {
				t.Errorf("byte by byte\n%s, at once\n%s", got, whole.Styled())
			}
		})
	}
}

// cut brings the table's text into the form of Grid.Text, which has no CR.
func cut(s string) string { return strings.ReplaceAll(s, "\r", "") }

// rendition is a sequence and the style of what is written after it.
type rendition struct{ name, in, want string }

func renditions() []rendition {
	return []rendition{
		{name: "ECMA-48 8.3.117, 1 to 9", in: "\x1b[1;2;3;4;5;7;8;9m", want: "bold, dim, italic, underline, blink, reverse, hidden, strike"},
		{name: "22 ends bold and dim", in: "\x1b[1;2;3;22m", want: "italic"},
		{name: "23 to 29", in: "\x1b[3;4;5;7;8;9;23;24;25;27;28;29m", want: ""},
		{name: "0 ends everything", in: "\x1b[1;31;42;58;5;3;0m", want: ""},
		{name: "no parameter is 0", in: "\x1b[1;31m\x1b[m", want: ""},
		{name: "an empty parameter is 0", in: "\x1b[1m\x1b[;31m", want: "fg 1"},
		{name: "8 colours", in: "\x1b[31;42m", want: "fg 1, bg 2"},
		{name: "bright (xterm ctlseqs, aixterm)", in: "\x1b[91;102m", want: "fg 9, bg 10"},
		{name: "39 and 49", in: "\x1b[31;42;39;49m", want: ""},
		{name: "256 colours", in: "\x1b[38;5;214;48;5;16m", want: "fg 214, bg 16"},
		{name: "24 bits", in: "\x1b[38;2;1;2;3;48;2;255;0;16m", want: "fg #010203, bg #ff0010"},
		{name: "24 bits, T.416 colons with a colour space", in: "\x1b[38:2::1:2:3m", want: "fg #010203"},
		{name: "24 bits, colons without one", in: "\x1b[38:2:1:2:3m", want: "fg #010203"},
		{name: "256 colours, colons", in: "\x1b[38:5:214;1m", want: "bold, fg 214"},
		{name: "the underline's colour", in: "\x1b[4;58;5;9m", want: "underline, line 9"},
		{name: "its kind", in: "\x1b[4:3m", want: "underline"},
		{name: "and none", in: "\x1b[4m\x1b[4:0m", want: ""},
		{name: "more follows a colour", in: "\x1b[38;5;3;9m", want: "strike, fg 3"},
	}
}

func TestRendition(t *testing.T) {
	for _, c := range renditions() {
		t.Run(c.name, func(t *testing.T) {
			g := New(10, 1)
			g.Write([]byte(c.in + "x"))
			if got := g.Cell(0, 0).Style(); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
			if len(g.Complaints()) > 0 {
				t.Error(g.Complaints())
			}
		})
	}
}

// TestEraseColour is xterm's "background color erase": erased cells and lines
// that scroll in have the background, no other attribute.
func TestEraseColour(t *testing.T) {
	for _, in := range []string{"\x1b[1;44m\x1b[K", "\x1b[1;44m\x1b[2J", "\x1b[1;44m\x1b[9X", "\x1b[1;44m\n", "\x1b[1;44m\x1b[L"} {
		g := New(4, 1)
		g.Write([]byte(in))
		if got := g.Cell(1, 0).Style(); got != "bg 4" {
			t.Errorf("%q: %q", in, got)
		}
	}
}

func TestComplaints(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"unknown private mode", "\x1b[?4711h", "private mode 4711"},
		{"unknown sequence", "\x1b[5y", "CSI 5"},
		{"C1 control in text", "a\u009bb", "U+009B"},
		{"override of direction in text", "a\u202eb", "U+202E"},
		{"not UTF-8", "a\xffb", "not UTF-8"},
		{"cut character", "a\xe6\xbcb", "not UTF-8"},
		{"unknown rendition", "\x1b[77m", "rendition 77"},
		{"colour out of range", "\x1b[38;5;256m", "colour"},
		{"bytes in the wrong order", "\x1b[1$2p", "unknown"},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := New(10, 1)
			g.Write([]byte(c.in))
			if got := strings.Join(g.Complaints(), "\n"); !strings.Contains(got, c.want) || got == "" {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestStyled(t *testing.T) {
	g := New(8, 3)
	g.Write([]byte("\x1b[1mab\x1b[m c\r\n漢\x1b[2;9mx\x1b[m\r\n\x1b[1mz\x1b[44m\x1b[K\x1b[m"))
	want := "" +
		"|ab c    |\n" +
		" aa\n" +
		"|漢x     |\n" +
		" ..b\n" +
		"|z       |\n" +
		" accccccc\n" +
		"a: bold\n" +
		"b: dim, strike\n" +
		"c: bg 4\n"
	if got := g.Styled(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestResize(t *testing.T) {
	for _, c := range []struct {
		name, in   string
		cols, rows int
		want       string
		col, row   int
	}{
		{"smaller cuts at the right", "abcdef\r\nx", 3, 4, "abc\nx", 1, 1},
		{"lower keeps the cursor's line", "1\r\n2\r\n3\r\n4", 10, 2, "3\n4", 1, 1},
		{"higher adds below", "1\r\n2", 10, 6, "1\n2", 1, 1},
		{"a wide character is not halved", "ab漢", 3, 4, "ab", 2, 0},
		{"the alternate screen loses its end", "\x1b[?1049h\x1b[H1\r\n2\r\n3\r\n4", 10, 2, "1\n2", 1, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := New(10, 4)
			g.Write([]byte(c.in))
			g.Resize(c.cols, c.rows)
			col, row, _ := g.Cursor()
			if g.Text() != c.want || col != c.col || row != c.row {
				t.Errorf("got %q at %d,%d; want %q at %d,%d", g.Text(), col, row, c.want, c.col, c.row)
			}
		})
	}
}

func TestClean(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"nothing", "", ""},
		{"text", "hello\r\n", ""},
		{"a whole session", "\x1b[?1049h\x1b[?25l\x1b[?2004h\x1b[>3u\x1b[1mx\x1b[m\x1b[<u\x1b[?2004l\x1b[?25h\x1b[?1049l", ""},
		{"alternate screen", "\x1b[?1049h", "alternate screen"},
		{"cursor", "\x1b[?25l", "cursor hidden"},
		{"paste", "\x1b[?2004h", "bracketed paste"},
		{"mouse", "\x1b[?1002h", "mouse"},
		{"focus", "\x1b[?1004h", "focus"},
		{"update", "\x1b[?2026h", "synchronised"},
		{"rendition", "\x1b[1;31m", "bold, fg 1"},
		{"keys", "\x1b[>1u", "keyboard flags"},
		{"keys on the screen that was left", "\x1b[?1049h\x1b[>1u\x1b[?1049l\x1b[<u", "alternate screen: [1]"},
		{"margins", "\x1b[1;2r", "margins"},
		{"wrapping", "\x1b[?7l", "wrapping"},
		{"a cut sequence", "\x1b[1", "unfinished"},
		{"a cut character", "\xe6", "unfinished"},
		{"an open string", "\x1b]2;x", "unfinished"},
		{"image", "\x1b_Gi=7,f=24,s=1,v=1;AAAA\x1b\\", "image 7"},
		{"image deleted with its data", "\x1b_Gi=7,f=24,s=1,v=1;AAAA\x1b\\\x1b_Ga=d,d=I,i=7\x1b\\", ""},
		{"half an image", "\x1b_Gi=7,f=24,s=1,v=1,m=1;AAAA\x1b\\", "transmission"},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := New(10, 4)
			g.Write([]byte(c.in))
			err := g.Clean()
			if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
		})
	}
}
