package testterm

import (
	"bytes"
	"unicode/utf8"
)

// Limits of one sequence. A program that needs more is broken; what is over is
// cut off, so that hostile input cannot make the emulator grow.
const (
	maxParams = 64
	maxNumber = 1 << 24
	maxInter  = 4
	maxString = 16 << 20
)

// StringKind says how a control string was opened (ECMA-48 §5.6).
type StringKind byte

// The control strings; the values are the final bytes of their ESC forms.
const (
	OSC StringKind = ']'
	DCS StringKind = 'P'
	APC StringKind = '_'
	PM  StringKind = '^'
	SOS StringKind = 'X'
)

// notUTF8 is printed in place of bytes that are no character.
const notUTF8 rune = -1

// events is what a parser finds in a stream of bytes.
type events interface {
	print(r rune)
	control(b byte)
	sequence(seq sequence)
}

// sequence is an escape sequence, a control sequence or a control string.
type sequence struct {
	kind    byte // 0 escape, '[' control sequence, else a StringKind
	private byte // one of < = > ? in front of the parameters
	params  [][]int
	inter   string // bytes 02/00 to 02/15 before the final byte
	final   byte
	data    []byte // of a string; valid, as the parameters are, until the next byte
}

// num is parameter i, or def where it is missing or 0.
func (s sequence) num(i, def int) int {
	if i < len(s.params) && s.params[i][0] > 0 {
		return s.params[i][0]
	}
	return def
}

type parserState byte

const (
	ground parserState = iota
	escape
	control
	inString
	stringEscape // ESC inside a string: its end, or something new
)

// parser cuts a stream into events: ECMA-48 §5.3 to §5.6 for UTF-8 streams.
type parser struct {
	to      events
	state   parserState
	part    []byte // an unfinished UTF-8 character
	seq     sequence
	groups  [][]int // room for the parameters, used again
	digits  bool    // the current parameter has a digit
	broken  bool    // bytes that don't belong into the sequence
	data    []byte
	tooLong bool
}

func (p *parser) write(b []byte) {
	for len(b) > 0 {
		if p.state == inString {
			n := bytes.IndexAny(b, "\x07\x18\x1a\x1b")
			if n < 0 {
				n = len(b)
			}
			p.collect(b[:n])
			if b = b[n:]; len(b) == 0 {
				return
			}
		}
		p.byte(b[0])
		b = b[1:]
	}
}

func (p *parser) collect(b []byte) {
	if room := maxString - len(p.data); len(b) > room {
		b, p.tooLong = b[:room], true
	}
	p.data = append(p.data, b...)
}

func (p *parser) byte(b byte) {
	switch p.state {
	case ground:
		p.ground(b)
	case escape:
		p.escape(b)
	case control:
		p.controlSequence(b)
	case inString:
		p.stringByte(b)
	case stringEscape:
		p.stringEscape(b)
	}
}

func (p *parser) ground(b byte) {
	if len(p.part) > 0 || b >= utf8.RuneSelf {
		p.utf8(b)
		return
	}
	switch {
	case b == 0x1b:
		p.begin()
	case b < 0x20:
		p.to.control(b)
	case b != 0x7f: // DEL is ignored
		p.to.print(rune(b))
	}
}

// utf8 gathers a character over any number of writes. A broken one is
// printed as notUTF8, and the byte that broke it is looked at again.
func (p *parser) utf8(b byte) {
	if len(p.part) > 0 && utf8.RuneStart(b) {
		p.part = p.part[:0]
		p.to.print(notUTF8)
		p.ground(b)
		return
	}
	p.part = append(p.part, b)
	if !utf8.FullRune(p.part) {
		return
	}
	r, size := utf8.DecodeRune(p.part)
	if r == utf8.RuneError && size == 1 {
		r = notUTF8
	}
	rest := bytes.Clone(p.part[size:])
	p.part = p.part[:0]
	p.to.print(r)
	for _, c := range rest {
		p.ground(c)
	}
}

func (p *parser) begin() {
	p.state = escape
	p.seq = sequence{}
	p.digits, p.broken = false, false
}

func (p *parser) escape(b byte) {
	switch {
	case b == 0x1b:
		p.begin()
	case b == 0x18 || b == 0x1a:
		p.state = ground
	case b < 0x20:
		p.to.control(b)
	case b < 0x30:
		p.intermediate(b)
	case b == '[' && p.seq.inter == "":
		p.state = control
		p.seq.kind = '['
	case p.seq.inter == "" && bytes.IndexByte([]byte("]P_^X"), b) >= 0:
		p.state = inString
		p.seq.kind = b
		p.data, p.tooLong = p.data[:0], false
	case b < 0x7f:
		p.seq.final = b
		p.finish()
	}
}

func (p *parser) intermediate(b byte) {
	if len(p.seq.inter) >= maxInter {
		p.broken = true
		return
	}
	p.seq.inter += string(rune(b))
}

// controlSequence takes parameter bytes 03/00 to 03/15, intermediate bytes and
// a final byte 04/00 to 07/14 (ECMA-48 §5.4). Controls inside it act at once.
func (p *parser) controlSequence(b byte) {
	switch {
	case b == 0x1b:
		p.begin()
	case b == 0x18 || b == 0x1a:
		p.state = ground
	case b < 0x20:
		p.to.control(b)
	case b < 0x30:
		p.intermediate(b)
	case b < 0x40:
		p.parameter(b)
	case b < 0x7f:
		p.seq.final = b
		p.finish()
	}
}

func (p *parser) parameter(b byte) {
	s := &p.seq
	if b >= '<' {
		if s.private != 0 || len(s.params) > 0 {
			p.broken = true
		}
		s.private = b
		return
	}
	if s.inter != "" {
		p.broken = true
		return
	}
	if len(s.params) == 0 {
		p.group()
	}
	last := len(s.params) - 1
	group := s.params[last]
	switch {
	case b == ';' && len(s.params) < maxParams:
		p.group()
	case b == ':' && len(group) < maxParams:
		s.params[last] = append(group, -1)
		p.groups[last] = s.params[last]
	case b == ';' || b == ':':
		p.broken = true
	default:
		n := &group[len(group)-1]
		*n = min(max(*n, 0)*10+int(b-'0'), maxNumber)
	}
}

// group begins the next parameter.
func (p *parser) group() {
	n := len(p.seq.params)
	if n == len(p.groups) {
		p.groups = append(p.groups, nil)
	}
	p.groups[n] = append(p.groups[n][:0], -1)
	p.seq.params = p.groups[:n+1]
}

func (p *parser) finish() {
	p.state = ground
	if p.broken {
		p.seq.private, p.seq.final = 0, 0 // nobody knows a final byte of 0
	}
	p.to.sequence(p.seq)
}

// stringByte gets the bytes that may end a string: BEL ends an OSC (xterm),
// CAN and SUB abandon any.
func (p *parser) stringByte(b byte) {
	switch {
	case b == 0x1b:
		p.state = stringEscape
	case b == 0x07 && p.seq.kind == byte(OSC):
		p.endString()
	case b == 0x07:
		p.collect([]byte{b})
	default:
		p.state = ground
	}
}

func (p *parser) stringEscape(b byte) {
	switch {
	case b == '\\':
		p.endString()
	case b == 0x1b && p.wrapped(): // tmux passthrough doubles every ESC
		p.collect([]byte{b})
		p.state = inString
	default:
		p.begin()
		p.byte(b)
	}
}

func (p *parser) wrapped() bool {
	return p.seq.kind == byte(DCS) && bytes.HasPrefix(p.data, []byte("tmux;"))
}

func (p *parser) endString() {
	p.state = ground
	p.seq.data = p.data
	if p.tooLong {
		p.seq.final = '!'
	}
	p.to.sequence(p.seq)
	if cap(p.data) > 1<<20 {
		p.data = nil // don't hold the room of a picture for ever
	}
}
