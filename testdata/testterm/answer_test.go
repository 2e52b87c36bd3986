package testterm

import (
	"encoding/base64"
	"image/color"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
)

func TestQueries(t *testing.T) {
	sixel := Answerer{DA1: "62;4", Registers: 256}
	for _, c := range []struct {
		name, in string
		a        Answerer
		want     string
	}{
		{"DSR (ECMA-48 8.3.35)", "\x1b[5n", Answerer{}, "\x1b[0n"},
		{"CPR (ECMA-48 8.3.14)", "\x1b[2;3H\x1b[6n", Answerer{}, "\x1b[2;3R"},
		{"DA1 (ECMA-48 8.3.24)", "\x1b[c", sixel, "\x1b[?62;4c"},
		{"XTVERSION", "\x1b[>q", Kitty(), "\x1bP>|kitty(0.41.1)\x1b\\"},
		{"keyboard flags", "\x1b[>3u\x1b[?u", Kitty(), "\x1b[?3u"},
		{"keyboard flags, none", "\x1b[?u", Kitty(), "\x1b[?0u"},
		{"keyboard flags, not known", "\x1b[?u", XTerm(), ""},
		{"DECRQM", "\x1b[?2026$p\x1b[?25$p\x1b[?9999$p", Kitty(), "\x1b[?2026;2$y\x1b[?25;1$y\x1b[?9999;0$y"},
		{"DECRQM of a terminal without synchronised updates", "\x1b[?2026$p", XTerm(), "\x1b[?2026;0$y"},
		{"sizes (XTWINOPS 14, 16, 18)", "\x1b[14t\x1b[16t\x1b[18t", Kitty(), "\x1b[4;80;100t\x1b[6;20;10t\x1b[8;4;10t"},
		{"no sizes in pixels", "\x1b[14t\x1b[16t\x1b[18t", sixel, "\x1b[8;4;10t"},
		{"OSC 11", "\x1b]11;?\x07", XTerm(), "\x1b]11;rgb:ffff/ffff/ffff\x1b\\"},
		{"OSC 10", "\x1b]10;?\x1b\\", Answerer{Background: color.White}, "\x1b]10;rgb:0000/0000/0000\x1b\\"},
		{"XTSMGRAPHICS", "\x1b[?1;1;0S\x1b[?2;1;0S", sixel, "\x1b[?1;0;256S\x1b[?2;0;100;80S"},
		{"graphics, not known", apc("i=31,s=1,v=1,a=q,f=24", []byte{0, 0, 0}), XTerm(), ""},
		{"deaf", "\x1b[5n\x1b[6n\x1b[c", Answerer{Deaf: true, DA1: "1"}, ""},
		{"tmux answers for itself", "\x1b[c\x1b[>q\x1b[5n", Answerer{Tmux: true, DA1: "62", Version: "kitty(0.41.1)"}, "\x1b[?1;2c\x1bP>|tmux 3.3a\x1b\\\x1b[0n"},
		{"and hands envelopes on", ansi.TmuxPassthrough("\x1b[>q"), Answerer{Tmux: true, Version: "kitty(0.41.1)"}, "\x1bP>|kitty(0.41.1)\x1b\\"},
		{"pictures too", ansi.TmuxPassthrough(apc("i=31,s=1,v=1,a=q,f=24", []byte{0, 0, 0})), Answerer{Tmux: true, Kitty: true}, "\x1b_Gi=31;OK\x1b\\"},
		{"not outside", apc("i=31,s=1,v=1,a=q,f=24", []byte{0, 0, 0}), Answerer{Tmux: true, Kitty: true}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			g, got := New(10, 4), ""
			g.Answer(c.a, func(a Answer) { got += string(a.Bytes) })
			g.Write([]byte(c.in))
			if got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
			if g.Text() != "" {
				t.Errorf("a query shows: %q", g.Text())
			}
		})
	}
}

func TestFence(t *testing.T) {
	var got []Answer
	delays := []time.Duration{0, Never, time.Second}
	a := Answerer{Tmux: true, Kitty: true}
	a.Fence = func(time.Time) time.Duration { d := delays[0]; delays = delays[1:]; return d }
	g := New(10, 4)
	g.Answer(a, func(a Answer) { got = append(got, a) })
	query := "\x1b_Gi=1,a=q,f=24,s=1,v=1;" + base64.StdEncoding.EncodeToString([]byte{0, 0, 0}) + "\x1b\\"
	for range 3 {
		g.Write([]byte(ansi.TmuxPassthrough(query)))
	}
	g.Write([]byte("\x1b[6n"))
	if len(got) != 4 || !got[0].Fence || got[0].Delay != 0 || got[1].Delay != Never || got[2].Delay != time.Second || got[3].Fence {
		t.Errorf("got %+v", got)
	}
}

// TestKeyboardFlags is kitty's keyboard protocol, "Progressive enhancement".
func TestKeyboardFlags(t *testing.T) {
	for _, c := range []struct {
		name, in string
		want     int
	}{
		{"none", "", 0},
		{"push", "\x1b[>5u", 5},
		{"push pop", "\x1b[>5u\x1b[>1u\x1b[<u", 5},
		{"pop more than there is", "\x1b[>5u\x1b[<9u", 0},
		{"set", "\x1b[>5u\x1b[=2u", 2},
		{"add", "\x1b[>5u\x1b[=2;2u", 7},
		{"take away", "\x1b[>5u\x1b[=1;3u", 4},
		{"the alternate screen has its own", "\x1b[>5u\x1b[?1049h", 0},
		{"and the normal one keeps its", "\x1b[>5u\x1b[?1049h\x1b[>1u\x1b[?1049l", 5},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := New(10, 4)
			g.Write([]byte(c.in))
			if got := g.KeyboardFlags(); got != c.want {
				t.Errorf("got %d, want %d", got, c.want)
			}
		})
	}
}
