package term

import (
	"bytes"
	"encoding/base64"
	"os"
	"slices"
	"strconv"
	"strings"
)

// The ids of the probe's questions.
const (
	askDirect = 0x6e5e0001 + iota
	askShared
	askTemp
)

// Probe asks a terminal what it can do. It is not safe for concurrent use.
type Probe struct {
	env    func(string) string
	tmpDir string
	shmDir string
	files  []string

	caps         Caps
	question     []byte // the graphics questions as asked
	asked        int    // how many
	graphics     map[uint32]bool
	attributes   bool
	window, text Answer
}

// NewProbe returns a probe that puts its files into tmpDir ("" = os.TempDir).
func NewProbe(getenv func(string) string, tmpDir string) *Probe {
	p := &Probe{env: getenv, tmpDir: tmpDir, shmDir: sharedDir, graphics: map[uint32]bool{}}
	p.caps.Tmux = getenv("TMUX") != ""
	switch colour := getenv("COLORTERM"); {
	case colour == "truecolor" || colour == "24bit", getenv("WT_SESSION") != "", strings.HasSuffix(getenv("TERM"), "-direct"):
		p.caps.TrueColor = true
	}
	return p
}

// Ask returns all questions, to be written at once. Every terminal answers the
// last, so what has not been answered before that never will be; except inside
// tmux, which answers it before the terminal outside has the others.
func (p *Probe) Ask() []byte {
	const last = "\x1b[c"
	if t := p.env("TERM"); t == "dumb" || t == "linux" {
		return []byte(last) // would print the strings
	}
	p.question = p.askGraphics()
	out := append(bytes.Clone(p.question), "\x1b[>q\x1b]11;?\x1b\\\x1b[?u\x1b[16t\x1b[14t\x1b[18t"...)
	// The registers for colours that there are, and how large a picture can be
	// at most (not now: that goes by the window).
	out = append(out, "\x1b[?1;1;0S\x1b[?2;4;0S"...)
	if p.env("TERM_PROGRAM") != "Apple_Terminal" { // prints the p
		out = append(out, "\x1b[?2026$p"...)
	}
	if !p.caps.TrueColor { // a 24-bit colour, asked back (DECRQSS)
		out = append(out, "\x1b[48;2;1;2;3m\x1bP$qm\x1b\\\x1b[m"...)
	}
	return append(out, last...)
}

// Again returns what to ask a second time when nothing has come for 150 ms:
// tmux drops what is for the terminal outside while no client shows the pane.
// It is nil where that would not help.
func (p *Probe) Again() []byte {
	if !p.caps.Tmux || len(p.graphics) > 0 {
		return nil
	}
	return p.question
}

// askGraphics asks for the graphics protocol with one black pixel, direct, in
// shared memory and in a file, each only if it could be put there.
func (p *Probe) askGraphics() []byte {
	pixel := make([]byte, 3)
	ask := func(out []byte, id int, how string, payload []byte) []byte {
		p.asked++
		out = append(out, "\x1b_Gi="...)
		out = strconv.AppendInt(out, int64(id), 10)
		out = append(out, ",a=q,f=24,s=1,v=1,t="...)
		out = append(out, how...)
		out = append(out, ';')
		out = base64.StdEncoding.AppendEncode(out, payload)
		return append(out, "\x1b\\"...)
	}
	var out []byte
	if p.caps.Tmux { // the terminal outside; first, since the rest ends the wait
		out = append(out, "\x1b[>q"...)
	}
	out = ask(out, askDirect, "d", pixel)
	if name, err := writeShared(p.shmDir, pixel); err == nil {
		p.files = append(p.files, name)
		out = ask(out, askShared, "s,S=3", sharedName(name))
	}
	if name, err := writeTemp(p.tmpDir, pixel); err == nil {
		p.files = append(p.files, name)
		out = ask(out, askTemp, "t,S=3", []byte(name))
	}
	if p.caps.Tmux {
		return appendTmux(nil, out)
	}
	return out
}

// Take takes an answer in and reports whether nothing more is to come. Inside
// tmux without passthrough that never happens: the caller sets a limit.
func (p *Probe) Take(a Answer) (done bool) {
	switch a.Kind {
	case AnswerGraphics:
		if a.ID >= askDirect && a.ID <= askTemp {
			p.graphics[a.ID] = a.OK || p.graphics[a.ID]
		}
	case AnswerVersion:
		p.name(a.Text)
	case AnswerAttributes:
		p.attributes = true
		// The first is no attribute but the terminal's kind.
		p.caps.Sixel = len(a.Params) > 0 && slices.Contains(a.Params[1:], 4)
	case AnswerLimit:
		p.limit(a)
	case AnswerMode:
		if a.ID == 2026 {
			p.caps.Sync = a.OK
		}
	case AnswerKeyboard:
		p.caps.KeyEvents = true
	case AnswerCell:
		p.caps.CellWidth, p.caps.CellHeight = float64(a.Width), float64(a.Height)
	case AnswerWindow:
		p.window = a
	case AnswerText:
		p.text = a
	case AnswerBackground:
		luma := 299*int(a.Red) + 587*int(a.Green) + 114*int(a.Blue)
		p.caps.DarkBackground, p.caps.BackgroundKnown = luma < 1000*0xffff/2, true
	case AnswerSettings:
		if strings.Contains(strings.ReplaceAll(a.Text, ":", ";"), "48;2;") {
			p.caps.TrueColor = true
		}
	}
	done = p.attributes && (!p.caps.Tmux || len(p.graphics) == p.asked)
	p.caps.Answered = p.caps.Answered || done
	return done
}

// limit takes what XTSMGRAPHICS says of sixels. tmux 3.4 says of its registers
// that it failed, and then how many they are.
func (p *Probe) limit(a Answer) {
	switch {
	case a.ID == 1 && len(a.Params) == 1 && a.Params[0] > 1:
		p.caps.SixelColours = a.Params[0]
	case a.ID == 2 && a.OK && len(a.Params) == 2 && a.Params[0] > 0 && a.Params[1] > 0:
		p.caps.SixelWidth, p.caps.SixelHeight = a.Params[0], a.Params[1]
	}
}

// name takes XTVERSION. tmux answers with its own name, before or after the
// terminal outside.
func (p *Probe) name(s string) {
	if p.caps.Tmux && strings.HasPrefix(s, "tmux") {
		if p.caps.Name != "" {
			return
		}
	}
	p.caps.Name = s
}

// Caps returns what is known so far.
func (p *Probe) Caps() Caps {
	c := p.caps
	c.Kitty, c.SharedMemory, c.TempFile = p.graphics[askDirect], p.graphics[askShared], p.graphics[askTemp]
	c.Placeholders = c.Kitty && placeholders(c.Name)
	if !c.Tmux {
		program := p.env("TERM_PROGRAM")
		c.Inline = inlines(c.Name) || inlines(program) || inlines(p.env("LC_TERMINAL")) ||
			program == "vscode" && c.Sixel // both are in one part of it, which can be turned off
	}
	if c.Kitty {
		c.TrueColor = true
	}
	// tmux 3.3a tells its columns and rows the wrong way round.
	if (c.CellWidth <= 0 || c.CellHeight <= 0) && p.text.Width > 0 && p.text.Height > 0 && !c.Tmux {
		c.CellWidth = float64(p.window.Width) / float64(p.text.Width)
		c.CellHeight = float64(p.window.Height) / float64(p.text.Height)
	}
	return c
}

// Close removes the files that the terminal did not take.
func (p *Probe) Close() {
	for _, f := range p.files {
		_ = os.Remove(f)
	}
	p.files = nil
}
