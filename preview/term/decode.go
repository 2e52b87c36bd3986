package term

import (
	"time"
	"unicode/utf8"
)

// This file cuts the terminal's bytes into sequences as ECMA-48 (5.4 control
// sequences, 5.6 control strings) and the VT500 parser do. What a sequence
// means is in csi.go, answer.go and keys.go.

const (
	maxString = 64 << 10 // of a string's or a paste's contents; the rest is swallowed
	maxParams = 256      // bytes of a control sequence

	// After silence in the middle of a sequence its rest is still swallowed
	// when it comes late. Where more than its first two bytes had come, no
	// finger typed it, so that waiting long costs nobody a key. The first two
	// alone may be alt and a key too: after a short wait they are held on to, and
	// the byte that comes next shows which it was. A key too few is seen and
	// pressed again, a key too many may decide a frame.
	lateAnswer  = 10 * time.Second
	lateIntro   = time.Second
	pasteStalls = 10 * time.Second // of silence in a paste until it counts as over
)

type state uint8

const (
	ground    state = iota
	escape          // after ESC
	afterLone       // a byte that may go on with an ESC that was taken for a key
	single          // SS3
	control         // CSI
	console         // CSI [, the Linux console's function keys
	mouse           // CSI M, three bytes follow
	str             // APC, DCS, OSC, PM, SOS
	strEscape       // ESC in a string
	pasting         // after CSI 200 ~
)

// Decoder turns bytes from a terminal into events. The bytes may be cut
// anywhere. Its zero value is ready; it is not safe for concurrent use.
type Decoder struct {
	st    state
	kind  byte   // of a string: its byte after ESC; of afterLone: the byte held
	buf   []byte // parameters or contents
	full  bool   // buf has reached its limit and is of no use
	eight bool   // the string began with an 8-bit control and may end with one
	skip  int    // bytes left of a mouse report
	rune  [utf8.UTFMax]byte
	n     int  // bytes of rune so far
	alt   bool // ESC stood before the rune

	alone bool      // of afterLone: no key was given for its first two bytes
	late  bool      // silence passed inside the sequence: it gives no event any more
	until time.Time // end of waiting for its rest
	lone  time.Time // when a lone ESC was taken for the key
	last  time.Time // of the last byte

	out []Event
	at  time.Time
}

// Feed takes bytes that arrived at the given time.
func (d *Decoder) Feed(p []byte, at time.Time) []Event {
	d.begin(at)
	for _, b := range p {
		d.step(b)
	}
	if len(p) > 0 {
		d.last = at
	}
	return d.end()
}

// Flush says that the terminal has been silent for a while: a lone ESC is the
// key; what is unfinished will give no event any more, and its rest is
// swallowed if it comes within ten seconds (one, if it may have been alt and a
// key).
func (d *Decoder) Flush(at time.Time) []Event {
	d.begin(at)
	switch d.st {
	case ground:
		d.n, d.alt = 0, false
	case escape:
		d.st, d.lone = ground, at
		d.key(0, "esc", "")
	case afterLone:
		if !d.alone {
			d.release()
		}
	case pasting:
	default:
		if !d.late {
			wait := lateAnswer
			if len(d.buf) == 0 && (d.st == single || d.st == control || d.st == str) {
				wait = lateIntro
			}
			d.late, d.until = true, at.Add(wait)
		}
	}
	return d.end()
}

// waiting reports whether silence would change anything.
func (d *Decoder) waiting() bool {
	return d.st != ground && !d.alone || d.n > 0
}

func (d *Decoder) begin(at time.Time) {
	d.at, d.out = at, nil
	if d.late && at.After(d.until) {
		d.giveUp()
	}
	if d.st == pasting && at.Sub(d.last) > pasteStalls {
		d.paste()
	}
}

// giveUp stops waiting for the rest of a sequence. Of its first two bytes alone it
// goes on to wait for the one that tells what they were.
func (d *Decoder) giveUp() {
	kind := d.kind
	switch {
	case len(d.buf) > 0:
		kind = 0
	case d.st == single:
		kind = 'O'
	case d.st == control:
		kind = '['
	case d.st != str:
		kind = 0
	}
	until := d.until.Add(lateAnswer)
	d.reset()
	if kind != 0 && !d.at.After(until) {
		d.st, d.kind, d.alone, d.until = afterLone, kind, true, until
	}
}

func (d *Decoder) end() []Event {
	out := d.out
	d.out = nil
	return out
}

func (d *Decoder) emit(e Event) { d.out = append(d.out, e) }

// reset goes back to the ground; large contents are given back.
func (d *Decoder) reset() {
	d.st, d.late, d.full, d.alone = ground, false, false, false
	d.skip, d.n, d.alt = 0, 0, false
	if d.buf = d.buf[:0]; cap(d.buf) > 4096 {
		d.buf = nil
	}
}

// start begins a sequence. What was late before it is over.
func (d *Decoder) start(st state, kind byte, eight bool) {
	d.reset()
	d.st, d.kind, d.eight = st, kind, eight
}

func (d *Decoder) collect(b byte, limit int) {
	if len(d.buf) >= limit {
		d.full = true
		return
	}
	d.buf = append(d.buf, b)
}

const (
	bel = 0x07
	can = 0x18
	sub = 0x1a
	esc = 0x1b
	del = 0x7f
)

func (d *Decoder) step(b byte) {
	switch d.st {
	case ground:
		d.stepGround(b)
	case escape:
		d.stepEscape(b)
	case afterLone:
		d.stepAfterLone(b)
	case single:
		d.stepSingle(b)
	case control:
		d.stepControl(b)
	case console:
		late := d.late
		d.reset()
		if b >= 'A' && b <= 'E' && !late {
			d.key(0, functionKey(int(b-'A')+1), "")
		}
	case mouse:
		if b == esc { // no report holds one
			d.start(escape, 0, false)
		} else if d.skip--; d.skip == 0 {
			d.reset()
		}
	case str, strEscape:
		d.stepString(b)
	case pasting:
		d.stepPaste(b)
	}
}

func (d *Decoder) stepGround(b byte) {
	if d.n > 0 && !utf8.RuneStart(b) || d.n == 0 && b >= 0x80 {
		d.stepRune(b)
		return
	}
	d.n, d.alt = 0, false // what stood before was cut off
	if b >= 0x80 {
		d.stepRune(b)
		return
	}
	if !d.lone.IsZero() {
		soon := d.at.Sub(d.lone) <= lateIntro
		d.lone = time.Time{}
		if soon && (b == '[' || b == 'O' || b == ']' || b == '_' || b == 'P') {
			d.st, d.kind = afterLone, b
			return
		}
	}
	if b == esc {
		d.start(escape, 0, false)
		return
	}
	d.ascii(0, b)
}

// stepAfterLone decides whether the byte held and this one go on with an ESC
// that was taken for the key because the line was slow. Nobody types these
// pairs within the time that counts as silence; what they begin gives no event.
func (d *Decoder) stepAfterLone(b byte) {
	var is bool
	st := str
	switch d.kind {
	case '[':
		st = control
		is = b == '?' || b == '<' || b == '>' || b >= '0' && b <= '9' || b >= 'A' && b <= 'Z'
	case 'O':
		st = single
		is = b >= 'A' && b <= 'D' || b == 'F' || b == 'H' || b >= 'P' && b <= 'S'
	case ']':
		is = b >= '0' && b <= '9'
	case '_':
		is = b == 'G'
	case 'P':
		is = b == '>' || b == '0' || b == '1'
	}
	if !is || d.alone && d.at.After(d.until) {
		if d.alone {
			d.reset()
		} else {
			d.release()
		}
		d.step(b)
		return
	}
	d.start(st, d.kind, false)
	d.late, d.until = true, d.at.Add(lateAnswer)
	d.step(b)
}

// release gives the byte held as the key that it is.
func (d *Decoder) release() {
	b := d.kind
	d.reset()
	d.ascii(0, b)
}

func (d *Decoder) stepEscape(b byte) {
	if b >= 0x80 {
		d.reset()
		d.alt = true // for the rune
		d.stepRune(b)
		return
	}
	switch b {
	case esc: // the key, and then something else
		d.key(0, "esc", "")
	case '\\':
		d.reset() // the end of a string that is over: never alt and a key
	case '[', 'O', 'P', ']', '_', '^', 'X':
		d.introduce(b, false)
	default:
		d.reset()
		d.ascii(modAlt, b)
	}
}

// introduce begins the sequence whose 7-bit form is ESC and b.
func (d *Decoder) introduce(b byte, eight bool) {
	switch b {
	case '[':
		d.start(control, b, eight)
	case 'O':
		d.start(single, b, eight)
	default:
		d.start(str, b, eight)
	}
}

// stepRune takes a byte of a rune of several. Bytes that are no UTF-8 give
// nothing, but for the 8-bit controls, which some terminals send.
func (d *Decoder) stepRune(b byte) {
	d.rune[d.n] = b
	d.n++
	if !utf8.FullRune(d.rune[:d.n]) {
		return
	}
	r, size := utf8.DecodeRune(d.rune[:d.n])
	first, alt := d.rune[0], d.alt
	whole := d.n == size
	d.n, d.alt = 0, false
	switch {
	case r == utf8.RuneError && size <= 1 && whole && first < 0xa0:
		r = rune(first)
	case r == utf8.RuneError && size <= 1:
		return
	}
	if r >= 0x80 && r < 0xa0 {
		switch c := byte(r - 0x40); c {
		case '[', 'O', 'P', ']', '_', '^', 'X':
			d.introduce(c, true)
		}
		return
	}
	mods := 0
	if alt {
		mods = modAlt
	}
	d.char(mods, r)
}

func (d *Decoder) stepSingle(b byte) {
	switch {
	case b == esc:
		d.start(escape, 0, false)
	case b >= '0' && b <= '9' || b == ';':
		d.collect(b, maxParams)
	default:
		if !d.late && !d.full {
			d.singleKey(b)
		}
		d.reset()
	}
}

func (d *Decoder) stepControl(b byte) {
	switch {
	case b == esc:
		d.start(escape, 0, false)
	case b == can || b == sub:
		d.reset()
	case b < 0x20 || b == del: // a key in between: no sequence holds these
		if !d.late {
			d.ascii(0, b)
		}
	case b >= 0x80:
	case b < 0x40:
		d.collect(b, maxParams)
	case b == '[' && len(d.buf) == 0:
		d.st = console
	case b == 'M' && len(d.buf) == 0:
		d.st, d.skip = mouse, 3
	default:
		late, full := d.late, d.full
		seq := string(d.buf)
		d.reset()
		switch {
		case b == '~' && seq == "200":
			d.start(pasting, 0, false) // also a late one: its text is no keys
		case !late && !full:
			d.sequence(seq, b)
		}
	}
}

func (d *Decoder) stepString(b byte) {
	if d.st == strEscape {
		switch b {
		case '\\':
			d.endString()
		case esc:
		case '[', 'O', 'P', ']', '_', '^', 'X': // the string broke off
			d.introduce(b, false)
		default: // broken off by no answer that we know: no key either
			d.reset()
		}
		return
	}
	switch {
	case b == esc:
		d.st = strEscape
	case b == can || b == sub:
		d.reset()
	case b == bel && d.kind == ']' || b == 0x9c && d.eight:
		d.endString()
	default:
		d.collect(b, maxString)
	}
}

func (d *Decoder) endString() {
	late, full, kind := d.late, d.full, d.kind
	text := string(d.buf)
	d.reset()
	if !late && !full {
		d.answerString(kind, text)
	}
}
