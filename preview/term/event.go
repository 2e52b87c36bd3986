package term

import "time"

// Event is what came from the terminal: a Key, a Paste or an Answer.
type Event interface{ event() }

// Key is a key that was pressed or repeats.
type Key struct {
	// Name is the character that the key types ("k", "K", ":", "é"), or what
	// is written on it: "enter", "esc", "tab", "backspace", "delete",
	// "insert", "up", "down", "left", "right", "pgup", "pgdown", "home",
	// "end", "space", "f1" and so on. Modifiers stand before it in the order
	// ctrl, alt, shift, super, hyper, meta: "ctrl+c", "alt+k", "shift+tab".
	// Shift is part of a character, not of its name.
	Name string
	// Text is what the key types, "" for none.
	Text string
	// Repeat is set where the terminal itself says that the key is held. Most
	// terminals don't: false proves nothing.
	Repeat bool
	At     time.Time
}

// Paste is text that was pasted, without control characters but for tabs and
// line ends (as \n). It is cut off at 64 KiB.
type Paste struct {
	Text string
	At   time.Time
}

// Answer is what the terminal said by itself or when it was asked.
type Answer struct {
	Kind AnswerKind
	ID   uint32 // AnswerGraphics: the picture's; AnswerMode: the mode's number; AnswerLimit: of what
	OK   bool   // AnswerGraphics, AnswerLimit: it worked; AnswerMode: the mode is known
	// Text is the message of AnswerGraphics, the name of AnswerVersion, the
	// settings of AnswerSettings, the raw sequence (cut off) of AnswerUnknown.
	Text string
	// Width and Height are pixels of a cell (AnswerCell) or of the window
	// (AnswerWindow), or columns and rows (AnswerText).
	Width, Height int
	Red           uint16 // AnswerBackground
	Green         uint16
	Blue          uint16
	Params        []int // AnswerAttributes, AnswerKeyboard: as they came; AnswerLimit: the values
	At            time.Time
}

// AnswerKind says what was answered.
type AnswerKind int

// The answers that are told apart. Everything else that is no key is unknown.
const (
	AnswerUnknown    AnswerKind = iota
	AnswerFence                 // CSI 0 n: everything before the question was taken in
	AnswerGraphics              // APC G: of the kitty graphics protocol
	AnswerAttributes            // CSI ? … c: primary device attributes (DA1)
	AnswerVersion               // DCS > | … ST: name and version (XTVERSION)
	AnswerMode                  // CSI ? n ; v $ y: whether a mode is known (DECRQM)
	AnswerCell                  // CSI 6 ; h ; w t
	AnswerWindow                // CSI 4 ; h ; w t
	AnswerText                  // CSI 8 ; h ; w t
	AnswerBackground            // OSC 11
	AnswerKeyboard              // CSI ? n u: flags of the kitty keyboard protocol
	AnswerSettings              // DCS 1 $ r … ST: settings (DECRQSS)
	AnswerDevice                // CSI > … c: secondary device attributes (DA2)
	AnswerLimit                 // CSI ? n ; … S: limits of pictures (XTSMGRAPHICS)
)

func (Key) event()    {}
func (Paste) event()  {}
func (Answer) event() {}
