package term

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

var t0 = time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)

// keysOf names the keys among events, "*" after those that repeat.
func keysOf(events []Event) []string {
	var out []string
	for _, e := range events {
		if k, ok := e.(Key); ok {
			s := k.Name
			if k.Repeat {
				s += "*"
			}
			out = append(out, s)
		}
	}
	return out
}

func decodeAll(s string) []Event {
	var d Decoder
	return append(d.Feed([]byte(s), t0), d.Flush(t0)...)
}

func TestKeys(t *testing.T) {
	tests := []struct{ name, in, want string }{
		{"letters", "kK:é日", "k K : é 日"},
		{"white space", "\r\t \x7f\x08", "enter tab space backspace backspace"},
		{"ctrl", "\x03\x1a\x00\x1f", "ctrl+c ctrl+z ctrl+space ctrl+_"},
		{"lone escape", "\x1b", "esc"},
		{"escape twice", "\x1b\x1b", "esc esc"},
		{"alt", "\x1bk\x1bK\x1bé\x1b\r", "alt+k alt+K alt+é alt+enter"},
		{"alt and ctrl", "\x1b\x03", "ctrl+alt+c"},
		{"arrows", "\x1b[A\x1b[B\x1bOC\x1bOD", "up down right left"},
		{"with modifiers", "\x1b[1;2D\x1b[1;5C\x1b[1;3A\x1b[1;6H", "shift+left ctrl+right alt+up ctrl+shift+home"},
		{"numbered", "\x1b[1~\x1b[2~\x1b[3~\x1b[4~\x1b[5~\x1b[6~\x1b[3;2~", "home insert delete end pgup pgdown shift+delete"},
		{"function keys", "\x1bOP\x1bOS\x1b[11~\x1b[15~\x1b[17~\x1b[21~\x1b[23~\x1b[24~\x1b[1;2P", "f1 f4 f1 f5 f6 f10 f11 f12 shift+f1"},
		{"of the Linux console", "\x1b[[A\x1b[[E", "f1 f5"},
		{"shift tab", "\x1b[Z", "shift+tab"},
		{"xterm's modifyOtherKeys", "\x1b[27;5;99~\x1b[27;2;13~", "ctrl+c shift+enter"},
		{"not UTF-8", "a\xff\xc3(\xe6\x97b", "a ( b"},
		{"not printable", "\u202e\u200b\ufeffx", "x"},

		// sw.kovidgoyal.net/kitty/keyboard-protocol
		{"kitty: letter", "\x1b[107u\x1b[107;1u\x1b[107;;107u", "k k k"},
		{"kitty: shift with text", "\x1b[97;2;65u", "A"},
		{"kitty: shift with alternate", "\x1b[107:75;2u\x1b[59:58;2u", "K :"},
		{"kitty: shift alone", "\x1b[107;2u\x1b[51;2u", "K shift+3"},
		{"kitty: option types text", "\x1b[97;;229u", "å"},
		{"kitty: text without a key", "\x1b[0;;26085:26412u", "日 本"},
		{"kitty: ctrl", "\x1b[99;5u\x1b[99;6u\x1b[99;3u\x1b[107;4u", "ctrl+c ctrl+shift+c alt+c alt+K"},
		{"kitty: super", "\x1b[107;9u", "super+k"},
		{"kitty: caps and num lock", "\x1b[107;65u\x1b[107;129u\x1b[107;65;75u", "k k K"},
		{"kitty: repeat", "\x1b[107;1:2u\x1b[107;;107u\x1b[107;1:2;107u\x1b[1;1:2A\x1b[5;1:2~", "k* k k* up* pgup*"},
		{"kitty: release", "\x1b[107;1:3u\x1b[1;1:3A\x1b[5;1:3~\x1b[13;1:3u", ""},
		{"kitty: named", "\x1b[13u\x1b[27u\x1b[9u\x1b[9;2u\x1b[127u\x1b[32;;32u\x1b[13;2u", "enter esc tab shift+tab backspace space shift+enter"},
		{"kitty: F3 and F13", "\x1b[13~\x1b[57376u", "f3 f13"},
		{"kitty: keypad", "\x1b[57399u\x1b[57408;;57u\x1b[57413;;43u\x1b[57414u\x1b[57417u\x1b[57426u\x1b[57409u", "0 9 + enter left delete ."},
		{"kitty: modifiers, locks, media", "\x1b[57441;2u\x1b[57358u\x1b[57428u\x1b[57454u", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := strings.Join(keysOf(decodeAll(tt.in)), " "); got != tt.want {
				t.Errorf("%q: %s, want %s", tt.in, got, tt.want)
			}
		})
	}
}

func TestKeyText(t *testing.T) {
	for in, want := range map[string]string{
		"k": "k", " ": " ", "\r": "", "\x1bk": "", "\x03": "", "\x1b[A": "",
		"\x1b[97;2;65u": "A", "\x1b[32u": " ", "\x1b[107:75;2u": "K", "\x1b[99;5u": "", "\x1b[57400u": "1",
	} {
		events := decodeAll(in)
		if len(events) != 1 || events[0].(Key).Text != want || !events[0].(Key).At.Equal(t0) {
			t.Errorf("%q: %+v, want the text %q", in, events, want)
		}
	}
}

// answers are what terminals send that is no key, with what is made of it.
var answers = []struct {
	in   string
	want Answer
}{
	{"\x1b[0n", Answer{Kind: AnswerFence}},
	{"\x1b_Gi=31;OK\x1b\\", Answer{Kind: AnswerGraphics, ID: 31, OK: true, Text: "OK"}},
	{"\x1b_Gi=7,p=1;ENOENT:no such picture\x1b\\", Answer{Kind: AnswerGraphics, ID: 7, Text: "ENOENT:no such picture"}},
	{"\x1b[?62;4;22c", Answer{Kind: AnswerAttributes, Params: []int{62, 4, 22}}},
	{"\x1bP>|kitty(0.41.1)\x1b\\", Answer{Kind: AnswerVersion, Text: "kitty(0.41.1)"}},
	{"\x1b[?2026;2$y", Answer{Kind: AnswerMode, ID: 2026, OK: true}},
	{"\x1b[?2026;0$y", Answer{Kind: AnswerMode, ID: 2026}},
	{"\x1b[4;1000;1600t", Answer{Kind: AnswerWindow, Width: 1600, Height: 1000}},
	{"\x1b[6;20;10t", Answer{Kind: AnswerCell, Width: 10, Height: 20}},
	{"\x1b[8;50;160t", Answer{Kind: AnswerText, Width: 160, Height: 50}},
	{"\x1b]11;rgb:ffff/8000/0000\x1b\\", Answer{Kind: AnswerBackground, Red: 0xffff, Green: 0x8000}},
	{"\x1b]11;rgb:ff/80/0\a", Answer{Kind: AnswerBackground, Red: 0xffff, Green: 0x8080}},
	{"\x1b[?27u", Answer{Kind: AnswerKeyboard, Params: []int{27}}},
	{"\x1bP1$r0;48:2:1:2:3m\x1b\\", Answer{Kind: AnswerSettings, Text: "0;48:2:1:2:3m"}},
	{"\x1b[12;40R", Answer{}},
	{"\x1b[3n", Answer{}},
	{"\x1b[?1;0;256S", Answer{Kind: AnswerLimit, ID: 1, OK: true, Params: []int{256}}},
	{"\x1b[?2;0;1600;1040S", Answer{Kind: AnswerLimit, ID: 2, OK: true, Params: []int{1600, 1040}}},
	{"\x1b[?1;3;1024S", Answer{Kind: AnswerLimit, ID: 1, Params: []int{1024}}}, // tmux 3.4
	{"\x1b[?2;3S", Answer{Kind: AnswerLimit, ID: 2, Params: []int{}}},
	{"\x1b[>41;379;0c", Answer{Kind: AnswerDevice, Params: []int{41, 379, 0}}},
	{"\x1b]52;c;aGVsbG8=\a", Answer{}},
	{"\x1b^private\x1b\\", Answer{}},
	{"\x1bXstring\x1b\\", Answer{}},
	{"\x1b_Gi=31;" + strings.Repeat("k", 2*maxString) + "\x1b\\", Answer{Kind: -1}}, // too long: nothing
	{"\x1b[<0;10;20M\x1b[<0;10;20m\x1b[M !!\x1b[I\x1b[O", Answer{Kind: -1}},         // mouse and focus
	{"\x1b[" + strings.Repeat("1;", 500) + "A", Answer{Kind: -1}},
	{"\x9b0n", Answer{Kind: AnswerFence}},
	{"\u009b0n", Answer{Kind: AnswerFence}},
	{"\x9fGi=1;OK\x9c", Answer{Kind: AnswerGraphics, ID: 1, OK: true, Text: "OK"}},
}

func same(a, b Answer) bool {
	a.At, b.At = time.Time{}, time.Time{}
	return fmt.Sprint(a) == fmt.Sprint(b)
}

func TestAnswers(t *testing.T) {
	for _, tt := range answers {
		events := decodeAll(tt.in)
		if tt.want.Kind == -1 {
			if len(events) != 0 {
				t.Errorf("%.40q: %+v", tt.in, events)
			}
			continue
		}
		if len(events) != 1 {
			t.Errorf("%.40q: %+v", tt.in, events)
			continue
		}
		got, ok := events[0].(Answer)
		if tt.want.Kind == AnswerUnknown {
			got.Text = ""
		}
		if !ok || !same(got, tt.want) {
			t.Errorf("%.40q: %+v, want %+v", tt.in, events[0], tt.want)
		}
	}
}

// However an answer is cut, with silence long enough for a lone ESC at the cut
// or without, and whatever follows, it never becomes a key.
func TestAnAnswerNeverBecomesAKey(t *testing.T) {
	for _, tt := range answers {
		in := []byte(tt.in)
		if len(in) > 2000 {
			in = append(in[:100:100], in[len(in)-100:]...)
		}
		var one Decoder
		for i := range in {
			if keys := keysOf(one.Feed(in[i:i+1], t0)); keys != nil {
				t.Fatalf("%.40q byte by byte: keys %v", tt.in, keys)
			}
		}
		for cut := range len(in) + 1 {
			for _, silence := range []time.Duration{0, 60 * time.Millisecond, 900 * time.Millisecond} {
				var d Decoder
				events := d.Feed(in[:cut], t0)
				if silence > 0 {
					events = append(events, d.Flush(t0.Add(loneEscape))...)
				}
				events = append(events, d.Feed(in[cut:], t0.Add(silence))...)
				events = append(events, d.Flush(t0.Add(silence+loneEscape))...)
				events = append(events, d.Feed([]byte("\x1b[A"), t0.Add(20*time.Second))...)
				keys := keysOf(events)
				if cut == 1 && (in[1] == '^' || in[1] == 'X') {
					continue // no terminal sends these of itself
				}
				keys = slices.DeleteFunc(keys, func(k string) bool { return silence > 0 && k == "esc" }) // a lone ESC is the key, whatever follows
				if !slices.Equal(keys, []string{"up"}) {
					t.Errorf("%.40q cut at %d, silence %v: keys %v", tt.in, cut, silence, keys)
				}
			}
		}
	}
}

// An answer whose first two bytes alone had come is known again after seconds; a
// key that cannot go on with them is a key.
func TestAnswerCutAfterItsIntroducer(t *testing.T) {
	for _, tt := range []struct{ begin, rest string }{
		{"\x1bP", ">|kitty(0.41.1)\x1b\\"}, {"\x1b_", "Gi=31;OK\x1b\\"}, {"\x1b[", "?62;52c"}, {"\x1b[", "0n"}, {"\x1b]", "11;rgb:0/0/0\x1b\\"},
	} {
		for _, silence := range []time.Duration{60 * time.Millisecond, 1200 * time.Millisecond, 5 * time.Second} {
			var d Decoder
			d.Feed([]byte(tt.begin), t0)
			d.Flush(t0.Add(loneEscape))
			if got := keysOf(d.Feed([]byte(tt.rest), t0.Add(silence))); len(got) != 0 {
				t.Errorf("%q and after %v %q: keys %v", tt.begin, silence, tt.rest, got)
			}
		}
		var d Decoder
		d.Feed([]byte(tt.begin), t0)
		d.Flush(t0.Add(loneEscape))
		if got := keysOf(d.Feed([]byte("k"), t0.Add(1500*time.Millisecond))); !slices.Equal(got, []string{"k"}) {
			t.Errorf("%q and after 1.5 s k: keys %v", tt.begin, got)
		}
	}
}

// What comes between an unfinished answer and the next key costs no more than
// the time that is said.
func TestKeysComeBackAfterABrokenAnswer(t *testing.T) {
	for _, in := range []string{"\x1b[", "\x1b_", "\x1b_Gi=1;O", "\x1b]11;rgb", "\x1b[?20", "\x1bO", "\x1b[M", "\x1bP1$r"} {
		var d Decoder
		d.Feed([]byte(in), t0)
		d.Flush(t0.Add(loneEscape))
		if got := keysOf(d.Feed([]byte("k"), t0.Add(11*time.Second))); !slices.Equal(got, []string{"k"}) {
			t.Errorf("%q: 11 s later: %v", in, got)
		}
		d = Decoder{}
		d.Feed([]byte(in), t0)
		d.Flush(t0.Add(loneEscape))
		d.Feed([]byte("\x1b"), t0.Add(time.Second))
		if got := keysOf(d.Feed([]byte("[A"), t0.Add(time.Second))); !slices.Equal(got, []string{"up"}) {
			t.Errorf("%q: the next sequence: %v", in, got)
		}
	}
	// The first two bytes may have been alt and a key.
	var d Decoder
	d.Feed([]byte("\x1b_"), t0)
	d.Flush(t0.Add(loneEscape))
	if got := keysOf(d.Feed([]byte("k"), t0.Add(1100*time.Millisecond))); !slices.Equal(got, []string{"k"}) {
		t.Errorf("alt and a key: %v", got)
	}
}

func TestKeysAfterALoneEscape(t *testing.T) {
	var d Decoder
	events := d.Feed([]byte("\x1b"), t0)
	events = append(events, d.Flush(t0.Add(50*time.Millisecond))...)
	events = append(events, d.Feed([]byte("["), t0.Add(200*time.Millisecond))...)
	events = append(events, d.Flush(t0.Add(250*time.Millisecond))...)
	events = append(events, d.Feed([]byte("P"), t0.Add(300*time.Millisecond))...)
	events = append(events, d.Feed([]byte("k"), t0.Add(320*time.Millisecond))...)
	if got := keysOf(events); !slices.Equal(got, []string{"esc", "[", "P", "k"}) {
		t.Errorf("%v", got)
	}
}

func TestPaste(t *testing.T) {
	tests := []struct{ name, in, want string }{
		{"text", "\x1b[200~drop all\rk\x1b[201~", "drop all\nk"},
		{"line ends", "\x1b[200~a\r\nb\rc\nd\te\x1b[201~", "a\nb\nc\nd\te"},
		{"an answer inside", "\x1b[200~a\x1b[0nb\x1b[201~", "a[0nb"},
		{"a broken end inside", "\x1b[200~a\x1b[20\x1b[201~", "a[20"},
		{"too long", "\x1b[200~" + strings.Repeat("é", maxString) + "\x1b[201~", strings.Repeat("é", maxString/2)},
		{"empty", "\x1b[200~\x1b[201~", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			events := decodeAll(tt.in + "x")
			if len(events) != 2 || events[0].(Paste).Text != tt.want || events[1].(Key).Name != "x" {
				t.Errorf("%.200v", events)
			}
		})
	}
}

func TestPasteThatStalls(t *testing.T) {
	var d Decoder
	events := d.Feed([]byte("\x1b[200~dd"), t0)
	events = append(events, d.Flush(t0.Add(loneEscape))...)
	events = append(events, d.Feed([]byte("dd"), t0.Add(9*time.Second))...)
	if len(events) != 0 {
		t.Fatalf("%v", events)
	}
	events = d.Feed([]byte("k"), t0.Add(20*time.Second))
	if len(events) != 2 || events[0].(Paste).Text != "dddd" || events[1].(Key).Name != "k" {
		t.Errorf("%v", events)
	}
}

// FuzzDecoder checks that any bytes give the same events however they are cut,
// that memory is bounded, and that names are fit to be shown.
func FuzzDecoder(f *testing.F) {
	for _, a := range answers {
		if len(a.in) < 1000 {
			f.Add([]byte(a.in+"k"), uint8(3), false)
		}
	}
	f.Add([]byte("\x1b[200~ab\x1b[201~\x1b[107;1:2u\x1b\x1b[A\xc3\xa9\x1b\xc3\xa9"), uint8(1), true)
	f.Fuzz(func(t *testing.T, p []byte, step uint8, flush bool) {
		var whole, cut Decoder
		want := append(whole.Feed(p, t0), whole.Flush(t0)...)
		var got []Event
		n := int(step)%7 + 1
		for rest := p; len(rest) > 0; rest = rest[min(n, len(rest)):] {
			got = append(got, cut.Feed(rest[:min(n, len(rest))], t0)...)
		}
		got = append(got, cut.Flush(t0)...)
		if a, b := fmt.Sprintf("%v", got), fmt.Sprintf("%v", want); a != b {
			t.Fatalf("%q in steps of %d: %s, whole %s", p, n, a, b)
		}
		for _, e := range got {
			if k, ok := e.(Key); ok && (k.Name == "" || strings.ContainsAny(k.Name+k.Text, "\x00\x1b\r\n\x7f\u009b\u202e")) {
				t.Fatalf("%q: key %+v", p, k)
			}
		}
		if cap(cut.buf) > 2*maxString {
			t.Fatalf("%d bytes kept", cap(cut.buf))
		}
		if flush { // silence anywhere is no reason for a fault
			var d Decoder
			at := t0
			for _, b := range p {
				at = at.Add(time.Duration(b) * 40 * time.Millisecond)
				d.Feed([]byte{b}, at)
				d.Flush(at.Add(loneEscape))
			}
		}
	})
}

func TestMemoryIsBounded(t *testing.T) {
	for _, intro := range []string{"\x1b_G", "\x1b]", "\x1b[200~", "\x1b[", "\x1bO"} {
		var d Decoder
		d.Feed([]byte(intro), t0)
		for range 100 {
			d.Feed(bytes.Repeat([]byte("1"), 1<<16), t0)
		}
		if cap(d.buf) > 2*maxString {
			t.Errorf("%q: %d bytes kept", intro, cap(d.buf))
		}
	}
}
