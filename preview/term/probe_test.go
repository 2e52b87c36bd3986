package term

import (
	"bytes"
	"encoding/base64"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

func env(kv ...string) func(string) string {
	return func(name string) string {
		for i := 0; i+1 < len(kv); i += 2 {
			if kv[i] == name {
				return kv[i+1]
			}
		}
		return ""
	}
}

func newTestProbe(t *testing.T, getenv func(string) string) *Probe {
	p := NewProbe(getenv, t.TempDir())
	p.shmDir = t.TempDir()
	t.Cleanup(p.Close)
	return p
}

// take decodes what a terminal sends and hands it on; the last word counts.
func take(t *testing.T, p *Probe, s string) (done bool) {
	t.Helper()
	for _, e := range decodeAll(s) {
		a, ok := e.(Answer)
		if !ok {
			t.Fatalf("%T in %q", e, s)
		}
		done = p.Take(a)
	}
	return done
}

const (
	okDirect = "\x1b_Gi=1851654145;OK\x1b\\"
	okShared = "\x1b_Gi=1851654146;OK\x1b\\"
	okTemp   = "\x1b_Gi=1851654147;OK\x1b\\"
	noShared = "\x1b_Gi=1851654146;EBADF:no such object\x1b\\"
	noTemp   = "\x1b_Gi=1851654147;EBADF:no such file\x1b\\"
)

// The answers are those that were seen from the terminals named.
func TestProbe(t *testing.T) {
	tests := []struct {
		name, answers string
		env           func(string) string
		want          Caps
		best          Mode
	}{
		{"kitty 0.41", okDirect + okShared + okTemp + "\x1bP>|kitty(0.41.1)\x1b\\\x1b]11;rgb:0000/0000/0000\x1b\\\x1b[?0u\x1b[6;20;10t\x1b[4;1000;1600t\x1b[8;50;160t\x1b[?2026;2$y\x1b[?62;c", env(),
			Caps{Answered: true, Name: "kitty(0.41.1)", Kitty: true, Placeholders: true, SharedMemory: true, TempFile: true, KeyEvents: true, Sync: true,
				CellWidth: 10, CellHeight: 20, DarkBackground: true, BackgroundKnown: true, TrueColor: true}, KittyCells},
		{"kitty 0.26 elsewhere", okDirect + noShared + noTemp + "\x1bP>|kitty(0.26.5)\x1b\\\x1b]11;rgb:ffff/ffff/ffff\x1b\\\x1b[?62;c", env(),
			Caps{Answered: true, Name: "kitty(0.26.5)", Kitty: true, BackgroundKnown: true, TrueColor: true}, Kitty},
		{"xterm", "\x1bP>|XTerm(379)\x1b\\\x1b]11;rgb:ffff/ffff/dddd\x1b\\\x1b[6;13;6t\x1b[?2026;0$y\x1b[?1;3S\x1b[?2;3S\x1bP1$r0;48:2::1:2:3m\x1b\\\x1b[?64;1;2;6;9;15;16;17;18;21;22;28c", env(),
			Caps{Answered: true, Name: "XTerm(379)", CellWidth: 6, CellHeight: 13, BackgroundKnown: true, TrueColor: true}, Blocks},
		{"xterm as vt340", "\x1bP>|XTerm(379)\x1b\\\x1b[?1;0;1024S\x1b[?2;0;1000;1000S\x1b[?63;1;2;4;6;9;15;16;22;28c", env("COLORTERM", "truecolor"),
			Caps{Answered: true, Name: "XTerm(379)", Sixel: true, SixelColours: 1024, SixelWidth: 1000, SixelHeight: 1000, TrueColor: true}, Sixel},
		{"foot", "\x1bP>|foot(1.13.1)\x1b\\\x1b[?1;0;1024S\x1b[?2;0;10000;10000S\x1b[?2026;2$y\x1b[?62;4;22c", env("COLORTERM", "truecolor"),
			Caps{Answered: true, Name: "foot(1.13.1)", Sixel: true, SixelColours: 1024, SixelWidth: 10000, SixelHeight: 10000, Sync: true, TrueColor: true}, Sixel},
		{"xterm.js", "\x1b[4;1026;1599t\x1b[?1;0;256S\x1b[?2;0;5792;5792S\x1b[?62;4;9;22c", env("COLORTERM", "truecolor"),
			Caps{Answered: true, Sixel: true, SixelColours: 256, SixelWidth: 5792, SixelHeight: 5792, TrueColor: true}, Sixel},
		{"xterm.js in an editor", "\x1b[?62;4;9;22c", env("TERM_PROGRAM", "vscode", "COLORTERM", "truecolor"),
			Caps{Answered: true, Sixel: true, Inline: true, TrueColor: true}, Inline},
		{"and with pictures turned off", "\x1b[?1;2c", env("TERM_PROGRAM", "vscode", "COLORTERM", "truecolor"), Caps{Answered: true, TrueColor: true}, Blocks},
		{"VT100 with 4 as its kind", "\x1b[?4;6c", env(), Caps{Answered: true}, Blocks},
		{"iTerm2 far away", "\x1bP>|iTerm2 3.5.0\x1b\\\x1b[?62;4c", env("LC_TERMINAL", "iTerm2"),
			Caps{Answered: true, Name: "iTerm2 3.5.0", Sixel: true, Inline: true}, Inline},
		{"WezTerm", "\x1bP>|WezTerm 20240203-110809\x1b\\\x1b[?65;4;6;18;22c", env(),
			Caps{Answered: true, Name: "WezTerm 20240203-110809", Sixel: true, Inline: true}, Inline},
		{"tmux 3.4 with sixels around nothing", "\x1bP>|tmux 3.4\x1b\\\x1b[?1;3;1024S\x1b[?1;2;4c", env("TMUX", "x", "LC_TERMINAL", "iTerm2"),
			Caps{Name: "tmux 3.4", Sixel: true, SixelColours: 1024, Tmux: true}, Blocks},
		{"limits that are none", "\x1b[?1;0;0S\x1b[?1;0S\x1b[?1;0;-5S\x1b[?2;0;5S\x1b[?2;0;0;7S\x1b[?3;0;5;7S\x1b[?1S\x1b[?S\x1b[?6c", env(), Caps{Answered: true}, Blocks},
		{"sizes of the window only", "\x1b[4;950;1536t\x1b[8;50;160t\x1b[?1;2c", env("COLORTERM", "truecolor"),
			Caps{Answered: true, CellWidth: 9.6, CellHeight: 19, TrueColor: true}, Blocks},
		{"nothing but the end", "\x1b[?6c", env(), Caps{Answered: true}, Blocks},
		{"no end yet", okDirect, env(), Caps{Kitty: true, TrueColor: true}, Kitty},
		{"silence", "", env("COLORTERM", "24bit"), Caps{TrueColor: true}, Blocks},
		{"tmux around kitty", "\x1bP>|tmux 3.3a\x1b\\\x1b[8;160;54t\x1b[?1;2c\x1bP>|kitty(0.41.1)\x1b\\" + okDirect + okShared + okTemp, env("TMUX", "/tmp/tmux-0/x,1,0"),
			Caps{Answered: true, Name: "kitty(0.41.1)", Kitty: true, Placeholders: true, SharedMemory: true, TempFile: true, Tmux: true, TrueColor: true}, KittyCells},
		{"tmux last", "\x1bP>|ghostty 1.1.3\x1b\\" + okDirect + okShared + okTemp + "\x1bP>|tmux 3.3a\x1b\\\x1b[?1;2c", env("TMUX", "x"),
			Caps{Answered: true, Name: "ghostty 1.1.3", Kitty: true, Placeholders: true, SharedMemory: true, TempFile: true, Tmux: true, TrueColor: true}, KittyCells},
		{"tmux around an old kitty", "\x1b[?1;2c\x1bP>|kitty(0.26.5)\x1b\\" + okDirect + okShared + okTemp, env("TMUX", "x"),
			Caps{Answered: true, Name: "kitty(0.26.5)", Kitty: true, SharedMemory: true, TempFile: true, Tmux: true, TrueColor: true}, Blocks},
		{"tmux that passes nothing on", "\x1bP>|tmux 3.3a\x1b\\\x1b[?1;2c", env("TMUX", "x"), Caps{Name: "tmux 3.3a", Tmux: true}, Blocks},
		{"somebody else's answers", "\x1b_Gi=1;OK\x1b\\\x1b[?1000;1$y\x1b[?6c", env(), Caps{Answered: true}, Blocks},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := newTestProbe(t, tt.env)
			p.Ask()
			if done := take(t, p, tt.answers); done != tt.want.Answered {
				t.Errorf("done: %v", done)
			}
			if got := p.Caps(); got != tt.want {
				t.Errorf("\n%+v, want\n%+v", got, tt.want)
			}
			if got := p.Caps().Best(); got != tt.best {
				t.Errorf("best: %v", got)
			}
		})
	}
}

// The questions about files name files that are there, one pixel long, and go
// away in the end.
func TestProbeFiles(t *testing.T) {
	p := newTestProbe(t, env())
	ask := string(p.Ask())
	if !strings.HasSuffix(ask, "\x1b[c") || strings.Count(ask, "\x1b[c") != 1 {
		t.Errorf("%q does not end with the question that everybody answers", ask)
	}
	var paths []string
	for _, m := range regexp.MustCompile(`t=([st]),S=3;([^\x1b]*)`).FindAllStringSubmatch(ask, -1) {
		name, err := base64.StdEncoding.DecodeString(m[2])
		if err != nil {
			t.Fatal(err)
		}
		path := string(name)
		if m[1] == "s" {
			path = filepath.Join(p.shmDir, path)
		}
		if b, err := os.ReadFile(path); err != nil || len(b) != 3 {
			t.Errorf("%s: %d bytes, %v", path, len(b), err)
		}
		paths = append(paths, path)
	}
	if len(paths) != 2 {
		t.Fatalf("%q", ask)
	}
	p.Close()
	for _, path := range paths {
		if _, err := os.Stat(path); !os.IsNotExist(err) {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// Where no file can be made only the rest is asked, and that is enough.
func TestProbeWithoutFiles(t *testing.T) {
	p := NewProbe(env(), filepath.Join(t.TempDir(), "missing"))
	p.shmDir = ""
	if ask := string(p.Ask()); strings.Contains(ask, "t=s") || strings.Contains(ask, "t=t") {
		t.Errorf("%q", ask)
	}
	if !take(t, p, okDirect+"\x1b[?6c") || !p.Caps().Kitty {
		t.Error("not done")
	}
}

func TestProbeInTmux(t *testing.T) {
	p := newTestProbe(t, env("TMUX", "x"))
	ask := p.Ask()
	if !bytes.HasPrefix(ask, []byte("\x1bPtmux;\x1b\x1b[>q\x1b\x1b_G")) || !bytes.HasSuffix(ask, []byte("\x1b[c")) {
		t.Errorf("%q", ask)
	}
	again := p.Again()
	if !bytes.HasPrefix(ask, again) || len(again) == 0 {
		t.Errorf("the second question is %q", again)
	}
	take(t, p, okDirect)
	if p.Again() != nil {
		t.Error("asks again though there are answers")
	}
	if p := newTestProbe(t, env()); p.Again() != nil {
		t.Error("asks again without tmux")
	}
}

// Terminals that would print the questions are not asked.
func TestProbeSparesTheSimple(t *testing.T) {
	for _, name := range []string{"dumb", "linux"} {
		if ask := newTestProbe(t, env("TERM", name)).Ask(); string(ask) != "\x1b[c" {
			t.Errorf("%s: %q", name, ask)
		}
	}
	if ask := newTestProbe(t, env("TERM_PROGRAM", "Apple_Terminal")).Ask(); bytes.Contains(ask, []byte("$p")) {
		t.Errorf("%q", ask)
	}
}

func TestPlaceholderNames(t *testing.T) {
	for name, want := range map[string]bool{
		"kitty(0.28.0)": true, "kitty(0.41.1)": true, "kitty(1.0)": true, "kitty 0.30": true, "ghostty 1.0.0": true, "Ghostty": true,
		"kitty(0.27.1)": false, "kitty(0.26.5)": false, "kitty": false, "WezTerm 20240203": false, "XTerm(379)": false, "": false, "notkitty(0.41)": false,
	} {
		if got := placeholders(name); got != want {
			t.Errorf("%q: %v", name, got)
		}
	}
}

func TestInlineNames(t *testing.T) {
	for name, want := range map[string]bool{
		"iTerm2 3.5.0": true, "iTerm.app": true, "iTerm2": true, "WezTerm": true, "WezTerm 2024": true, "mintty 3.6.1": true, "mintty": true, "rio": true, "Rio 0.2.1": true,
		"": false, "riotous": false, "xterm": false, "kitty(0.41.1)": false, "Konsole 24.02": false, "tmux 3.4": false, "miniterm": false,
	} {
		if got := inlines(name); got != want {
			t.Errorf("%q: %v", name, got)
		}
	}
}

func TestModes(t *testing.T) {
	for _, m := range []Mode{Blocks, Kitty, KittyCells, Sixel, Inline, Quadrants} {
		if got, ok := ParseMode(m.String()); !ok || got != m {
			t.Errorf("%v: %v, %v", m, got, ok)
		}
	}
	if _, ok := ParseMode("paint"); ok {
		t.Error("paint")
	}
	for m, want := range map[Mode]bool{Blocks: false, Quadrants: false, Kitty: true, KittyCells: true, Sixel: true, Inline: true} {
		if m.Pixels() != want {
			t.Errorf("%v: pixels %v", m, !want)
		}
	}
	if Mode(7).String() == "" {
		t.Error("an unknown mode has no name")
	}
}

func TestFences(t *testing.T) {
	for _, tt := range []struct {
		c    Caps
		m    Mode
		want string
	}{
		{Caps{}, Blocks, "\x1b[5n"},
		{Caps{Tmux: true}, Blocks, "\x1b[5n"},
		{Caps{Kitty: true}, Blocks, "\x1b[5n"},
		{Caps{Kitty: true, Sixel: true}, Sixel, "\x1b[5n"},
		{Caps{Kitty: true, Inline: true}, Inline, "\x1b[5n"},
		{Caps{Kitty: true, Tmux: true}, Quadrants, "\x1b[5n"},
		{Caps{Kitty: true}, Kitty, "\x1b_Gi=1851719685,a=q,t=d,f=24,s=1,v=1;AAAA\x1b\\"},
		{Caps{Kitty: true, Tmux: true}, KittyCells, "\x1bPtmux;\x1b\x1b_Gi=1851719685,a=q,t=d,f=24,s=1,v=1;AAAA\x1b\x1b\\\x1b\\"},
	} {
		if got := string(FenceFor(tt.c, tt.m)(0x70005)); got != tt.want {
			t.Errorf("%+v %v: %q", tt.c, tt.m, got)
		}
	}
	for in, want := range map[string]bool{
		"\x1b[0n": true, "\x1b_Gi=1851719685;OK\x1b\\": true, "\x1b_Gi=1851719685;EINVAL:no\x1b\\": true,
		okDirect: false, "\x1b_Gi=1;OK\x1b\\": false, "\x1b[?6c": false, "\x1b[3n": false,
	} {
		if got := IsFence(decodeAll(in)[0].(Answer)); got != want {
			t.Errorf("%q: %v", in, got)
		}
	}
	if n, ahead, ok := fenceNumber(decodeAll("\x1b_Gi=1851719685;OK\x1b\\")[0].(Answer)); n != 5 || !ok || ahead {
		t.Errorf("number %d", n)
	}
	for c, want := range map[Caps]string{
		{Kitty: true}:             "\x1b[5n",
		{Kitty: true, Tmux: true}: "\x1bPtmux;\x1b\x1b_Gi=1851588613,a=q,t=d,f=24,s=1,v=1;AAAA\x1b\x1b\\\x1b\\",
	} {
		if got := string(FenceFor(c, KittyCells)(aheadFence | 5)); got != want {
			t.Errorf("ahead %+v: %q", c, got)
		}
	}
	if n, ahead, ok := fenceNumber(decodeAll("\x1b_Gi=1851588613;OK\x1b\\")[0].(Answer)); n != 5 || !ok || !ahead {
		t.Errorf("number %d ahead %v", n, ahead)
	}
}

// What was turned on is turned off again, in the place where it was.
func TestKeyModes(t *testing.T) {
	if got := string(EnableKeys(Caps{})); got != "\x1b[?2004h" {
		t.Errorf("%q", got)
	}
	if got := string(EnableKeys(Caps{KeyEvents: true})); !strings.HasSuffix(got, "\x1b[>27u") {
		t.Errorf("%q", got)
	}
	if got := string(DisableKeys()); got != "\x1b[<1u\x1b[?2004l" {
		t.Errorf("%q", got)
	}
	parts := regexp.MustCompile(`\x1b(\\|\[[^a-zA-Z]*[a-zA-Z])`).FindAllString(string(Reset()), -1)
	for _, want := range []string{"\x1b\\", "\x1b[?2026l", "\x1b[<1u", "\x1b[?2004l", "\x1b[?7h", "\x1b[m", "\x1b[?1049l", "\x1b[?25h"} {
		if !slices.Contains(parts, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if slices.Index(parts, "\x1b[<1u") > slices.Index(parts, "\x1b[?1049l") {
		t.Error("the alternate screen's keyboard flags are taken back after it is left")
	}
	if strings.Join(parts, "") != string(Reset()) {
		t.Error("not all of it was understood")
	}
}
