package testterm

import "testing"

// TestKeyEncoding holds the encoding against xterm ctlseqs ("PC-Style Function
// Keys", DECCKM) and the examples and tables of kitty's keyboard protocol.
func TestKeyEncoding(t *testing.T) {
	const all = flagDisambiguate | flagEvents | flagAllKeys
	for _, c := range []struct {
		name  string
		key   string
		event KeyEvent
		form  keyForm
		want  string
	}{
		{"text", "k", Press, keyForm{}, "k"},
		{"repeat is a press", "k", Repeat, keyForm{}, "k"},
		{"release is not told", "k", Release, keyForm{}, ""},
		{"capital", "K", Press, keyForm{}, "K"},
		{"shift makes it one", "shift+k", Press, keyForm{}, "K"},
		{"not ASCII", "é", Press, keyForm{}, "é"},
		{"plus", "+", Press, keyForm{}, "+"},
		{"space", "space", Press, keyForm{}, " "},
		{"control", "ctrl+c", Press, keyForm{}, "\x03"},
		{"alt", "alt+x", Press, keyForm{}, "\x1bx"},
		{"enter", "enter", Press, keyForm{}, "\r"},
		{"escape", "esc", Press, keyForm{}, "\x1b"},
		{"tab", "tab", Press, keyForm{}, "\t"},
		{"back tab", "shift+tab", Press, keyForm{}, "\x1b[Z"},
		{"backspace", "backspace", Press, keyForm{}, "\x7f"},
		{"right", "right", Press, keyForm{}, "\x1b[C"},
		{"right, DECCKM", "right", Press, keyForm{cursorKeys: true}, "\x1bOC"},
		{"shift up", "shift+up", Press, keyForm{}, "\x1b[1;2A"},
		{"ctrl alt left", "ctrl+alt+left", Press, keyForm{}, "\x1b[1;7D"},
		{"page down", "pgdown", Press, keyForm{}, "\x1b[6~"},
		{"home", "home", Press, keyForm{}, "\x1b[H"},
		{"f1", "f1", Press, keyForm{}, "\x1bOP"},
		{"f5", "f5", Press, keyForm{}, "\x1b[15~"},

		{"1: escape is disambiguated", "esc", Press, keyForm{flags: 1}, "\x1b[27u"},
		{"1: so is control", "ctrl+c", Press, keyForm{flags: 1}, "\x1b[99;5u"},
		{"1: text stays", "k", Press, keyForm{flags: 1}, "k"},
		{"1: enter stays", "enter", Press, keyForm{flags: 1}, "\r"},
		{"1: arrows", "up", Press, keyForm{flags: 1}, "\x1b[A"},
		{"3: a repeat of text is text", "k", Repeat, keyForm{flags: 3}, "k"},
		{"3: its release is told", "k", Release, keyForm{flags: 3}, "\x1b[107;1:3u"},
		{"3: enter's is not", "enter", Release, keyForm{flags: 3}, ""},
		{"3: repeat of an arrow", "up", Repeat, keyForm{flags: 3}, "\x1b[1;1:2A"},
		{"3: release with shift", "shift+up", Release, keyForm{flags: 3}, "\x1b[1;2:3A"},
		{"11: press", "k", Press, keyForm{flags: all}, "\x1b[107u"},
		{"11: repeat", "k", Repeat, keyForm{flags: all}, "\x1b[107;1:2u"},
		{"11: release", "k", Release, keyForm{flags: all}, "\x1b[107;1:3u"},
		{"11: capital", "K", Press, keyForm{flags: all}, "\x1b[107;2u"},
		{"11: question mark", "?", Press, keyForm{flags: all}, "\x1b[47;2u"},
		{"11: space", "space", Press, keyForm{flags: all}, "\x1b[32u"},
		{"11: enter released", "enter", Release, keyForm{flags: all}, "\x1b[13;1:3u"},
		{"15: the shifted key", "?", Press, keyForm{flags: all | flagAlternates}, "\x1b[47:63;2u"},
		{"27: text", "k", Press, keyForm{flags: all | flagText}, "\x1b[107;;107u"},
		{"31: shifted key and text", "A", Press, keyForm{flags: 31}, "\x1b[97:65;2;65u"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := parseKey(c.key)
			if err != nil {
				t.Fatal(err)
			}
			if got := string(c.form.encode(s, c.event)); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
	for _, bad := range []string{"", "nokey", "kk", "shift+", "f13"} {
		if _, err := parseKey(bad); err == nil && bad != "shift+" {
			t.Errorf("%q is a key", bad)
		}
	}
}
