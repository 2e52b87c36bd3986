package testterm

import (
	"fmt"
	"image"
	"image/color"
	"strings"
	"time"
)

// Never as a delay means that an answer is withheld.
const Never time.Duration = -1

// Answerer says how a terminal answers queries. The zero value answers the
// fence and the cursor's position at once, and nothing else.
type Answerer struct {
	// DA1 is the parameters of the answer to CSI c, as "62;4"; "" is silence.
	DA1 string
	// Version is the answer to CSI > q (XTVERSION), as "kitty(0.41.1)".
	Version string
	// Kitty has the graphics protocol: commands that want an answer get it.
	Kitty bool
	// KeyEvents has kitty's keyboard protocol: CSI ? u is answered, and a Run
	// encodes keys as the program's flags ask.
	KeyEvents bool
	// Sync says that mode 2026 is known when asked for by DECRQM.
	Sync bool
	// Background is the answer to OSC 11; nil is silence.
	Background color.Color
	// Cell is the size of a cell in pixels; zero says no sizes in pixels,
	// neither to queries nor in the window size of a Run.
	Cell image.Point
	// Registers is the number of sixel colours told to XTSMGRAPHICS; 0 silence.
	Registers int
	// Tmux stands a tmux with allow-passthrough in front of the terminal: it
	// answers by itself what is not in an envelope, takes no pictures, and
	// unwraps DCS tmux; the content is for the terminal around it.
	Tmux bool
	// Deaf answers nothing at all.
	Deaf bool
	// Fence is asked with the time of each CSI 5 n (and under Tmux of each
	// graphics query, which is the fence there) how long its answer takes:
	// 0 at once, Never withheld. nil is at once.
	Fence func(at time.Time) time.Duration
}

// Answer is bytes for the program's input.
type Answer struct {
	Bytes []byte
	Delay time.Duration // Never: withheld
	Fence bool
}

// Kitty answers as kitty 0.41 does.
func Kitty() Answerer {
	return Answerer{DA1: "62;52", Version: "kitty(0.41.1)", Kitty: true, KeyEvents: true, Sync: true,
		Background: color.Black, Cell: image.Pt(10, 20)}
}

// XTerm answers as xterm does without sixel.
func XTerm() Answerer {
	return Answerer{DA1: "64;1;2;6;9;15;16;17;18;21;22;28", Version: "XTerm(379)", Background: color.White, Cell: image.Pt(8, 16)}
}

// Answer makes the grid answer queries; send gets each answer, in order.
func (g *Grid) Answer(a Answerer, send func(Answer)) {
	g.answerer, g.send = a, send
	if a.Cell.X > 0 && a.Cell.Y > 0 {
		g.cell = a.Cell
	}
}

func (g *Grid) reply(format string, args ...any) {
	if g.send != nil && !g.answerer.Deaf {
		g.send(Answer{Bytes: fmt.Appendf(nil, format, args...)})
	}
}

// fence sends an answer that shows the program how far the terminal has come.
func (g *Grid) fence(answer string) {
	if g.send == nil || g.answerer.Deaf {
		return
	}
	a := Answer{Bytes: []byte(answer), Fence: true}
	if g.answerer.Fence != nil {
		a.Delay = g.answerer.Fence(time.Now())
	}
	g.send(a)
}

// query is the sequences that want an answer (xterm ctlseqs: DSR, DA1, DA2,
// XTVERSION, DECRQM, XTWINOPS, XTSMGRAPHICS; kitty: CSI ? u).
func (g *Grid) query(seq sequence) bool {
	a := g.answerer
	if a.Tmux && !g.enveloped {
		a = Answerer{DA1: "1;2", Version: "tmux 3.3a"}
	}
	switch string(rune(seq.private)) + seq.inter + string(rune(seq.final)) {
	case "\x00n":
		return g.statusReport(seq.num(0, 0))
	case "\x00c":
		if a.DA1 != "" {
			g.reply("\x1b[?%sc", a.DA1)
		}
	case ">c": // DA2; answers come in order, so it is kept back with the fences
		if a.DA1 != "" {
			g.fence("\x1b[>41;379;0c")
		}
	case ">q":
		if a.Version != "" {
			g.reply("\x1bP>|%s\x1b\\", a.Version)
		}
	case "?u":
		if a.KeyEvents {
			g.reply("\x1b[?%du", g.KeyboardFlags())
		}
	case "?$p":
		g.reportMode(seq.num(0, 0))
	case "\x00t":
		return g.sizeReport(seq.num(0, 0))
	case "?S":
		g.graphicsAttribute(seq)
	default:
		return false
	}
	return true
}

func (g *Grid) statusReport(what int) bool {
	switch what {
	case 5: // tmux answers by itself, before the picture is drawn
		if g.answerer.Tmux && !g.enveloped {
			g.reply("\x1b[0n")
		} else {
			g.fence("\x1b[0n")
		}
	case 6: // pending wrap counts as the last column
		g.reply("\x1b[%d;%dR", g.cursor.row+1, g.cursor.col+1)
	default:
		return false
	}
	return true
}

// reportMode is DECRPM: 0 not known, 1 set, 2 reset.
func (g *Grid) reportMode(n int) {
	state := 0
	switch {
	case g.answerer.DA1 == "" || n == modeSync && !g.answerer.Sync:
	case n == 1049 || n == 47 || n == 1047:
		state = 2
		if g.alt {
			state = 1
		}
	case knownMode(n):
		state = 2
		if g.modes[n] {
			state = 1
		}
	}
	if g.answerer.DA1 != "" {
		g.reply("\x1b[?%d;%d$y", n, state)
	}
}

func (g *Grid) sizeReport(what int) bool {
	known := g.answerer.Cell != image.Point{}
	switch {
	case what == 18:
		g.reply("\x1b[8;%d;%dt", g.rows, g.cols)
	case what == 14 && known:
		g.reply("\x1b[4;%d;%dt", g.rows*g.cell.Y, g.cols*g.cell.X)
	case what == 16 && known:
		g.reply("\x1b[6;%d;%dt", g.cell.Y, g.cell.X)
	case what != 14 && what != 16:
		return false
	}
	return true
}

// graphicsAttribute is XTSMGRAPHICS: item 1 colour registers, 2 sixel size.
func (g *Grid) graphicsAttribute(seq sequence) {
	if g.answerer.Registers == 0 {
		return
	}
	switch item := seq.num(0, 0); item {
	case 1:
		g.reply("\x1b[?1;0;%dS", g.answerer.Registers)
	case 2:
		g.reply("\x1b[?2;0;%d;%dS", g.cols*g.cell.X, g.rows*g.cell.Y)
	default:
		g.reply("\x1b[?%d;1S", item)
	}
}

// answerColour is the answer to OSC 10 or 11 with a question mark; the
// foreground is black or white, what the background is not.
func (g *Grid) answerColour(number string) {
	if g.answerer.Background == nil {
		return
	}
	r, gr, b, _ := g.answerer.Background.RGBA()
	if number == "10" {
		if r+gr+b > 3*0x7fff {
			r, gr, b = 0, 0, 0
		} else {
			r, gr, b = 0xffff, 0xffff, 0xffff
		}
	}
	g.reply("\x1b]%s;rgb:%04x/%04x/%04x\x1b\\", number, r, gr, b)
}

// answerGraphics answers a graphics command that names a picture: q=1 wants no
// OK, q=2 no failure either.
func (g *Grid) answerGraphics(cmd command, err error) {
	quiet := cmd.num('q')
	if !g.answerer.Kitty || cmd.id('i') == 0 && cmd.id('I') == 0 || quiet >= 2 || quiet == 1 && err == nil {
		return
	}
	names := ""
	for _, key := range []byte("iIp") {
		if cmd.id(key) != 0 {
			names += fmt.Sprintf(",%c=%d", key, cmd.id(key))
		}
	}
	text := "OK"
	if err != nil {
		text = err.Error()
	}
	answer := fmt.Sprintf("\x1b_G%s;%s\x1b\\", names[1:], text)
	if g.answerer.Tmux && cmd.flag('a', 't') == 'q' {
		g.fence(answer)
		return
	}
	g.reply("%s", answer)
}

// settings answers DECRQSS for SGR (xterm's "Control Sequences", DCS $ q Pt ST) as
// far as a background of 24 bits goes, which tells that there are such colours.
// Another setting is not known: DCS 0 $ r ST. tmux answers none.
func (g *Grid) settings(what string) {
	if g.answerer.Tmux {
		return
	}
	if what != "m" {
		g.reply("\x1bP0$r\x1b\\")
		return
	}
	if c := g.cursor.pen.BG; !c.IsDefault() {
		if _, indexed := c.Index(); !indexed {
			v := c.RGBA()
			g.reply("\x1bP1$r0;48:2::%d:%d:%dm\x1b\\", v.R, v.G, v.B)
			return
		}
	}
	g.reply("\x1bP1$r0m\x1b\\")
}

// dcs is a device control string: a question for a setting, or under tmux an envelope for the terminal
// around it, whose content is taken by a parser of its own.
func (g *Grid) dcs(data []byte) {
	if what, ok := strings.CutPrefix(string(data), "$q"); ok {
		g.settings(what)
		return
	}
	const envelope = "tmux;"
	if !g.answerer.Tmux || len(data) < len(envelope) || string(data[:len(envelope)]) != envelope {
		g.complain("unknown DCS %.20q", data)
		return
	}
	outer := parser{to: around{g}}
	g.enveloped = true
	defer func() { g.enveloped = false }()
	outer.write(append([]byte(nil), data[len(envelope):]...))
	if outer.state != ground {
		g.complain("a passthrough envelope ends inside a sequence")
	}
}

// around is the terminal that tmux runs in: pictures and queries act, text and
// motion would disturb tmux and are complained about.
type around struct{ g *Grid }

func (a around) print(r rune)   { a.g.complain("text %q in a passthrough envelope", r) }
func (a around) control(b byte) { a.g.complain("control %#02x in a passthrough envelope", b) }
func (a around) sequence(seq sequence) {
	switch {
	case seq.kind == byte(APC) && len(seq.data) > 0 && seq.data[0] == 'G':
		a.g.graphics(seq.data[1:])
	case seq.kind == '[' && a.g.query(seq):
	default:
		a.g.complain("%c sequence in a passthrough envelope", seq.kind)
	}
}
