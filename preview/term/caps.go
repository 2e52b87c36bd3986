package term

import (
	"strconv"
	"strings"
)

// Caps is what a terminal can do, as far as it is known.
type Caps struct {
	Answered                bool   // the probe has come to its end
	Name                    string // as it says itself (XTVERSION); inside tmux that of the terminal outside
	Kitty                   bool   // the kitty graphics protocol
	Sixel                   bool   // sixels
	SixelColours            int    // registers for their colours; 0 = it did not say
	SixelWidth, SixelHeight int    // the largest such picture in pixels; 0 = it did not say
	Inline                  bool   // files inside of the text, OSC 1337
	Placeholders            bool   // and pictures as Unicode placeholder cells
	SharedMemory            bool   // and taken from shared memory: it runs on this machine
	TempFile                bool   // and taken from a file
	KeyEvents               bool   // the kitty keyboard protocol
	Sync                    bool   // synchronized output, mode 2026
	Tmux                    bool   // tmux is in between
	CellWidth, CellHeight   float64
	// DarkBackground says so if BackgroundKnown.
	DarkBackground, BackgroundKnown bool
	TrueColor                       bool // 24-bit colours
}

// Mode is a way to show pictures.
type Mode int

// The ways to show pictures.
const (
	Blocks     Mode = iota // half blocks in two colours, everywhere
	Kitty                  // kitty graphics, placed at the cursor
	KittyCells             // kitty graphics, shown by placeholder cells
	Sixel                  // sixels
	Inline                 // a file inside of the text, OSC 1337
	Quadrants              // quarters of cells in two colours
)

var modeNames = [...]string{Blocks: "blocks", Kitty: "kitty", KittyCells: "kitty-cells", Sixel: "sixel", Inline: "inline", Quadrants: "quadrants"}

func (m Mode) String() string {
	if m < 0 || int(m) >= len(modeNames) {
		return "mode " + strconv.Itoa(int(m))
	}
	return modeNames[m]
}

// ParseMode reads what String writes.
func ParseMode(s string) (Mode, bool) {
	for m, name := range modeNames {
		if s == name {
			return Mode(m), true
		}
	}
	return Blocks, false
}

// Pixels reports whether pictures are shown in the terminal's own pixels, so that
// focus can be judged.
func (m Mode) Pixels() bool { return m != Blocks && m != Quadrants }

// Best is the best way for the terminal. A picture for 1600 by 1000 pixels that is
// prepared takes, from the first byte to the terminal's answer, where everything
// is drawn by two cores: in kitty 5 ms, which has it in its store; in xterm.js 33
// ms as a file of 0.2 MB inside of the text, and 140 ms as sixels, 0.9 MB in 256
// colours; as such 160 ms in xterm and 175 in foot. Half blocks take xterm 20 ms
// and have 160 by 100 pixels; quadrants take no longer and have twice as many, but
// show hardly more, and a font may lack them.
//
// Inside tmux pictures placed at the cursor would ignore its panes. Where it has
// been built to read sixels it leaves parts of the picture before beside the new
// one (3.5a): the user may choose them, nobody else does.
func (c Caps) Best() Mode {
	switch {
	case c.Kitty && c.Placeholders:
		return KittyCells
	case c.Kitty && !c.Tmux:
		return Kitty
	case c.Inline:
		return Inline
	case c.Sixel && !c.Tmux:
		return Sixel
	}
	return Blocks
}

// inlines reports whether a terminal of this name documents OSC 1337 File=, which
// nobody can ask for: iterm2.com/documentation-images.html, wezterm.org/imgcat.html,
// github.com/mintty/mintty/wiki/CtrlSeqs, rioterm.com/docs/features. Names are
// what the terminal answers, and what it puts into TERM_PROGRAM or LC_TERMINAL.
func inlines(name string) bool {
	name = strings.ToLower(name)
	for _, known := range [...]string{"iterm", "wezterm", "mintty", "rio"} {
		if rest, ok := strings.CutPrefix(name, known); ok && (rest == "" || strings.ContainsAny(rest[:1], "2. (")) {
			return true
		}
	}
	return false
}

// placeholders reports whether a terminal of this name shows placeholder cells.
// There is no way to ask: kitty has them since 0.28, and before it showed
// nothing and stalled.
func placeholders(name string) bool {
	name = strings.ToLower(name)
	if strings.HasPrefix(name, "ghostty") {
		return true
	}
	version, ok := strings.CutPrefix(name, "kitty")
	if !ok {
		return false
	}
	var v [2]int
	for i, f := range strings.SplitN(strings.Trim(version, "( )"), ".", 3) {
		if i < 2 {
			v[i], _ = strconv.Atoi(f)
		}
	}
	return v[0] > 0 || v[1] >= 28
}
