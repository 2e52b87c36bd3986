package term

import (
	"strconv"
	"strings"
)

// Caps is what a terminal can do, as far as it is known.
type Caps struct {
	Answered              bool   // the probe has come to its end
	Name                  string // as it says itself (XTVERSION); inside tmux that of the terminal outside
	Kitty                 bool   // the kitty graphics protocol
	Placeholders          bool   // and pictures as Unicode placeholder cells
	SharedMemory          bool   // and taken from shared memory: it runs on this machine
	TempFile              bool   // and taken from a file
	KeyEvents             bool   // the kitty keyboard protocol
	Sync                  bool   // synchronized output, mode 2026
	Tmux                  bool   // tmux is in between
	CellWidth, CellHeight float64
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
)

var modeNames = [...]string{Blocks: "blocks", Kitty: "kitty", KittyCells: "kitty-cells"}

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

// Best is the best way for the terminal. Inside tmux pictures placed at the
// cursor would ignore its panes.
func (c Caps) Best() Mode {
	switch {
	case c.Kitty && c.Placeholders:
		return KittyCells
	case c.Kitty && !c.Tmux:
		return Kitty
	}
	return Blocks
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
