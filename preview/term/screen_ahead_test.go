package term

import (
	"fmt"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// aheadOf writes what is there for Ahead, as often as it is asked.
func aheadOf(text string) func() []byte {
	return func() []byte { return []byte(text) }
}

// gfx answers a numbered fence.
func gfx(ids int, n uint64) Answer {
	return Answer{Kind: AnswerGraphics, ID: uint32(ids) | uint32(n&0xffff), OK: true}
}

// What goes ahead waits for text and shots and for their answers, goes one at a
// time, and nobody hears of it.
func TestScreenAhead(t *testing.T) {
	for name, caps := range map[string]Caps{"kitty": {Kitty: true}, "tmux": {Kitty: true, Tmux: true}} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				term, l := &slowTerminal{}, &landings{}
				fence := FenceFor(caps, KittyCells)
				answer := func(n uint64) Answer {
					if caps.Tmux {
						return gfx(aheadIDs, n)
					}
					return Answer{Kind: AnswerFence}
				}
				s := NewScreen(term, ScreenOptions{Landed: l.add, Fence: fence})
				want := ""
				check := func(what string, add ...string) {
					t.Helper()
					synctest.Wait()
					want += strings.Join(add, "")
					if got := term.String(); got != want {
						t.Fatalf("%s: %q, want %q", what, got, want)
					}
				}
				s.Show(shot(1))
				check("a shot", "<1>", string(fence(1)))
				s.Ahead(aheadOf("(a)"))
				fmt.Fprint(s, "text")
				check("the shot is not answered", "text")
				s.Answered(gfx(fenceIDs, 1))
				check("it is", "(a)", string(fence(aheadFence|1)))
				s.Ahead(aheadOf("(b)"))
				s.Ahead(aheadOf("(c)"))
				check("one is in flight")
				s.Show(shot(2))
				check("a shot does not wait", "<2>", string(fence(2)))
				if !s.Answered(answer(1)) {
					t.Error("the answer is not the screen's")
				}
				check("the shot is not answered")
				s.Answered(gfx(fenceIDs, 2))
				check("the newest goes", "(c)", string(fence(aheadFence|2)))
				s.Answered(answer(2))
				s.Ahead(func() []byte { return nil })
				s.Ahead(nil)
				check("nothing to send")
				s.Ahead(func() []byte { panic("broken") })
				check("a fault")
				s.Ahead(aheadOf("(d)"))
				check("after a fault", "(d)", string(fence(aheadFence|3)))
				if got := l.String(); got != "1 written, 1 drawn, 2 written, 2 drawn" {
					t.Error(got)
				}
				s.Ahead(aheadOf("(e)"))
				if err := s.Close(); err != nil {
					t.Error(err)
				}
				s.Ahead(aheadOf("(f)"))
				check("at the end")
			})
		})
	}
}

// A terminal that has stopped gets one picture ahead, shots go on as without it,
// and when one of them is answered others go ahead.
func TestScreenAheadOfAStoppedTerminal(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		term, l := &slowTerminal{}, &landings{}
		s := NewScreen(term, ScreenOptions{Landed: l.add, Fence: FenceFor(Caps{Kitty: true}, KittyCells)})
		s.Ahead(aheadOf("(a)"))
		synctest.Wait()
		s.Ahead(aheadOf("(b)"))
		s.Show(shot(1))
		time.Sleep(5 * time.Minute)
		s.Show(shot(2))
		time.Sleep(time.Second)
		synctest.Wait()
		if got := l.String(); got != "1 written, 1 late, 2 written" {
			t.Error(got)
		}
		if strings.Contains(term.String(), "(b)") {
			t.Error("another went ahead")
		}
		s.Answered(gfx(fenceIDs, 2)) // those before it were lost
		synctest.Wait()
		if got := l.String(); !strings.HasSuffix(got, "2 drawn") || !strings.Contains(term.String(), "(b)") {
			t.Errorf("%s; %q", got, term.String())
		}
		s.Close()
	})
}

// Text comes before what goes ahead, also while that is being made.
func TestScreenAheadAfterText(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		term := &slowTerminal{gate: make(chan struct{})}
		s := NewScreen(term, ScreenOptions{Fence: FenceFor(Caps{Kitty: true}, Kitty)})
		fmt.Fprint(s, "a")
		synctest.Wait() // the writer is stuck in it
		s.Ahead(aheadOf("(1)"))
		fmt.Fprint(s, "b")
		close(term.gate)
		synctest.Wait()
		if got := term.String(); got != "ab(1)\x1b[5n" {
			t.Errorf("%q", got)
		}
		s.Close()
	})
}

// Where nothing is asked, nothing can say that it has arrived.
func TestScreenNothingAheadWithoutFences(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		term := &slowTerminal{}
		s := NewScreen(term, ScreenOptions{NoFence: true})
		s.Ahead(aheadOf("(1)"))
		synctest.Wait()
		if got := term.String(); got != "" {
			t.Errorf("%q", got)
		}
		s.SetFence(nil, false)
		fmt.Fprint(s, "a")
		synctest.Wait()
		if got := term.String(); got != "a(1)"+dsr {
			t.Errorf("%q", got)
		}
		s.Close()
	})
}

// What the terminal says of a picture that went ahead is no shot's affair.
func TestScreenRefusedAhead(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := &landings{}
		s := NewScreen(&slowTerminal{}, ScreenOptions{Landed: l.add, Fence: FenceFor(Caps{Kitty: true}, Kitty)})
		s.Ahead(aheadOf("(1)"))
		synctest.Wait()
		s.Show(shot(1))
		synctest.Wait()
		s.Answered(Answer{Kind: AnswerGraphics, ID: 200, Text: "EBADF:no such object"})
		s.Answered(Answer{Kind: AnswerFence})
		s.Answered(gfx(fenceIDs, 1))
		synctest.Wait()
		if got := l.String(); got != "1 written, 1 drawn" {
			t.Error(got)
		}
		s.Close()
	})
}

// Whatever a terminal sends, a shot is drawn only after it was written, once, and
// not before the answer to its own fence or one of no number.
func FuzzAnswers(f *testing.F) {
	f.Add([]byte("\x1b_Gi=1851719681;OK\x1b\\"), false)
	f.Add([]byte("\x1b[0n\x1b[0n"), true)
	f.Add([]byte("\x1b_Gi=1851588609;OK\x1b\\\x1b_Gi=1851719682;OK\x1b\\\x1b[>0;1;2c"), true)
	f.Add([]byte("\x1b_Gi=7;ENOENT:no\x1b\\\x1b[0n"), false)
	f.Fuzz(func(t *testing.T, in []byte, tmux bool) {
		synctest.Test(t, func(t *testing.T) {
			l := &landings{}
			s := NewScreen(&slowTerminal{}, ScreenOptions{Landed: l.add, Fence: FenceFor(Caps{Kitty: true, Tmux: tmux}, KittyCells)})
			defer s.Close()
			s.Ahead(aheadOf("(1)"))
			synctest.Wait()
			s.Show(shot(1))
			synctest.Wait()
			var d Decoder
			own := false
			for _, e := range d.Feed(in[:min(len(in), 4096)], t0) {
				if a, ok := e.(Answer); ok {
					n, ahead, numbered := fenceNumber(a)
					own = own || numbered && !ahead && n == 1
					s.Answered(a)
				}
			}
			synctest.Wait()
			if n := strings.Count(l.String(), "1 drawn"); n > 1 || n == 1 && !own {
				t.Errorf("%s after %q", l.String(), in)
			}
		})
	})
}
