package term

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"
)

// slowTerminal takes what is written only while it is let.
type slowTerminal struct {
	mu   sync.Mutex
	got  bytes.Buffer
	gate chan struct{} // nil: takes everything; else one write for each value
	fail error
}

func (s *slowTerminal) Write(p []byte) (int, error) {
	if s.gate != nil {
		<-s.gate
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.fail != nil {
		return 0, s.fail
	}
	return s.got.Write(p)
}

func (s *slowTerminal) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.got.String()
}

// landings keeps what a Screen tells.
type landings struct {
	mu  sync.Mutex
	all []Landing
}

func (l *landings) add(x Landing) {
	l.mu.Lock()
	l.all = append(l.all, x)
	l.mu.Unlock()
}

func (l *landings) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	var s []string
	for _, x := range l.all {
		s = append(s, fmt.Sprintf("%d %v", x.ID, x.State))
	}
	return strings.Join(s, ", ")
}

func shot(id uint64) Shot {
	return Shot{id, func() []byte { return fmt.Appendf(nil, "<%d>", id) }}
}

const dsr = "\x1b[5n"

func TestScreenOrder(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		term, l := &slowTerminal{}, &landings{}
		s := NewScreen(term, ScreenOptions{Landed: l.add})
		fmt.Fprint(s, "a")
		s.Send([]byte("b"))
		fmt.Fprint(s, "c")
		s.Show(shot(1))
		synctest.Wait()
		if got := term.String(); got != "abc<1>"+dsr {
			t.Errorf("%q", got)
		}
		// Pictures wait for the answer, text does not; the newest picture wins.
		s.Show(shot(2))
		fmt.Fprint(s, "d")
		s.Show(shot(3))
		synctest.Wait()
		time.Sleep(30 * time.Millisecond)
		s.Fenced()
		synctest.Wait()
		s.Fenced()
		synctest.Wait()
		if got := term.String(); got != "abc<1>"+dsr+"d<3>"+dsr {
			t.Errorf("%q", got)
		}
		if got := l.String(); got != "1 written, 1 drawn, 3 written, 3 drawn" {
			t.Error(got)
		}
		if d := l.all[1].Acked.Sub(l.all[1].Written); d != 30*time.Millisecond || l.all[1].Bytes != 3 {
			t.Errorf("answered after %v, %d bytes", d, l.all[1].Bytes)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
}

// While the terminal takes nothing, pictures are neither made nor queued.
func TestScreenSkipsPictures(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		term, l := &slowTerminal{gate: make(chan struct{})}, &landings{}
		s := NewScreen(term, ScreenOptions{Landed: l.add, NoFence: true})
		made := 0
		for i := range uint64(50) {
			s.Show(Shot{i, func() []byte { made++; return []byte("p") }})
			synctest.Wait()
		}
		term.gate <- struct{}{}
		term.gate <- struct{}{}
		synctest.Wait()
		if got := l.String(); got != "0 written, 49 written" || made != 2 {
			t.Errorf("%s; %d made", got, made)
		}
		close(term.gate)
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
}

func TestScreenLateAnswers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		term, l := &slowTerminal{}, &landings{}
		s := NewScreen(term, ScreenOptions{Landed: l.add})
		s.Fenced() // nobody asked
		s.Show(shot(1))
		synctest.Wait()
		s.Show(shot(2))
		time.Sleep(2*time.Second - 1)
		synctest.Wait()
		if got := l.String(); got != "1 written" {
			t.Fatal(got)
		}
		time.Sleep(time.Nanosecond)
		synctest.Wait()
		if got := l.String(); got != "1 written, 1 late, 2 written" {
			t.Fatal(got)
		}
		s.Fenced() // the answer to the first
		synctest.Wait()
		s.Fenced()
		s.Fenced() // one too many
		synctest.Wait()
		if got := l.String(); got != "1 written, 1 late, 2 written, 1 drawn, 2 drawn" {
			t.Fatal(got)
		}
		// An answer that never comes: the other question is asked, and when it is
		// answered the fence of the picture that still stands there is written anew.
		s.Show(shot(3))
		time.Sleep(3 * time.Second)
		synctest.Wait()
		if got := term.String(); !strings.HasSuffix(got, "<3>"+dsr+otherQuestion) {
			t.Fatalf("%q", got)
		}
		// It was asked when 1 was late, too.
		answered := 0
		for range 5 {
			if s.Answered(Answer{Kind: AnswerDevice}) {
				answered++
			}
		}
		if answered != 2 {
			t.Errorf("%d answers to the other question were the screen's, want 2", answered)
		}
		synctest.Wait()
		if got := term.String(); !strings.HasSuffix(got, otherQuestion+dsr) {
			t.Fatalf("%q", got)
		}
		s.Fenced()
		synctest.Wait()
		if got := l.String(); !strings.HasSuffix(got, "3 written, 3 late, 3 drawn") {
			t.Error(got)
		}
		s.Close()
	})
}

// The line stalls and then delivers everything in order: no answer counts for a
// picture that was shown after its question.
func TestScreenStalls(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := &landings{}
		s := NewScreen(&slowTerminal{}, ScreenOptions{Landed: l.add})
		s.Show(shot(1))
		synctest.Wait()
		time.Sleep(11 * time.Second)
		s.Show(shot(2))
		synctest.Wait()
		s.Fenced() // the answer to 1
		synctest.Wait()
		if got := l.String(); strings.Contains(got, "2 drawn") {
			t.Fatal(got)
		}
		s.Answered(Answer{Kind: AnswerDevice}) // what was asked when 1 was late
		s.Fenced()                             // the answer to 2
		synctest.Wait()
		if got := l.String(); !strings.HasSuffix(got, "1 drawn, 2 drawn") {
			t.Error(got)
		}
		s.Close()
	})
}

// One answer is lost while a person walks on: deciding is held up once and not for
// every picture that follows.
func TestScreenLostAnswer(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := &landings{}
		s := NewScreen(&slowTerminal{}, ScreenOptions{Landed: l.add})
		s.Show(shot(1)) // its answer never comes
		synctest.Wait()
		time.Sleep(3 * time.Second)
		s.Answered(Answer{Kind: AnswerDevice})
		synctest.Wait()
		for id := uint64(2); id < 5; id++ {
			s.Fenced()
			synctest.Wait()
			s.Show(shot(id))
			synctest.Wait()
			time.Sleep(20 * time.Millisecond)
		}
		if got := l.String(); got != "1 written, 1 late, 1 drawn, 2 written, 2 drawn, 3 written, 3 drawn, 4 written" {
			t.Error(got)
		}
		s.Close()
	})
}

// A numbered fence whose answer was lost is written once more.
func TestScreenAsksANumberedFenceAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		term, l := &slowTerminal{}, &landings{}
		fence := FenceFor(Caps{Kitty: true}, Kitty)
		s := NewScreen(term, ScreenOptions{Landed: l.add, Fence: fence})
		s.Show(shot(7))
		time.Sleep(3 * time.Second)
		synctest.Wait()
		if got := strings.Count(term.String(), string(fence(7))); got != 2 {
			t.Fatalf("the fence was written %d times", got)
		}
		s.Answered(Answer{Kind: AnswerGraphics, ID: fenceIDs | 7, OK: true})
		synctest.Wait()
		if got := l.String(); got != "7 written, 7 late, 7 drawn" {
			t.Error(got)
		}
		s.Close()
	})
}

// A numbered answer finds its picture though the one before was lost.
func TestScreenNumberedFences(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := &landings{}
		s := NewScreen(&slowTerminal{}, ScreenOptions{Landed: l.add, Fence: FenceFor(Caps{Kitty: true}, KittyCells)})
		s.Show(shot(70001))
		time.Sleep(3 * time.Second)
		s.Show(shot(70002))
		synctest.Wait()
		s.Answered(Answer{Kind: AnswerGraphics, ID: fenceIDs | 70002&0xffff, OK: true})
		synctest.Wait()
		s.Answered(Answer{Kind: AnswerGraphics, ID: fenceIDs | 70001&0xffff, OK: true})
		synctest.Wait()
		if got := l.String(); got != "70001 written, 70001 late, 70002 written, 70002 drawn" {
			t.Error(got)
		}
		s.Close()
	})
}

// A picture that the terminal refuses is not drawn, though its fence is answered.
func TestScreenRefusedPicture(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := &landings{}
		s := NewScreen(&slowTerminal{}, ScreenOptions{Landed: l.add, Fence: FenceFor(Caps{Kitty: true}, Kitty)})
		answer := func(in string) {
			for _, e := range decodeAll(in) {
				if !s.Answered(e.(Answer)) {
					t.Errorf("%q is not the screen's", in)
				}
			}
			synctest.Wait()
		}
		for id := range uint64(3) {
			s.Show(shot(id))
			synctest.Wait()
			if id == 1 {
				answer("\x1b_Gi=200;EBADF:no such object\x1b\\\x1b_Gi=200;ENOENT:no such picture\x1b\\")
			}
			answer(fmt.Sprintf("\x1b_Gi=%d;OK\x1b\\", fenceIDs|id))
		}
		if got := l.String(); got != "0 written, 0 drawn, 1 written, 1 failed, 2 written, 2 drawn" {
			t.Error(got)
		}
		if err := l.all[3].Err; !errors.Is(err, ErrRefused) || !strings.HasSuffix(err.Error(), "no such object") {
			t.Error(err)
		}
		for _, in := range []string{okDirect, noShared, "\x1b[?6c", "\x1b_Gi=200;OK\x1b\\"} {
			if s.Answered(decodeAll(in)[0].(Answer)) {
				t.Errorf("%q is the screen's", in)
			}
		}
		s.Close()
	})
}

func TestScreenEmptyShot(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		term, l := &slowTerminal{}, &landings{}
		s := NewScreen(term, ScreenOptions{Landed: l.add})
		s.Show(Shot{ID: 1})
		synctest.Wait()
		s.Fenced()
		synctest.Wait()
		s.SetFence(nil, true)
		s.Show(Shot{ID: 2, Build: func() []byte { panic("broken") }})
		synctest.Wait()
		s.Show(Shot{ID: 3})
		synctest.Wait()
		s.Show(Shot{ID: 4, Build: func() []byte { return nil }})
		synctest.Wait()
		if got := l.String(); got != "1 written, 1 drawn, 2 failed, 3 written, 4 failed" || term.String() != dsr {
			t.Errorf("%s; %q", got, term.String())
		}
		s.Close()
	})
}

func TestScreenQueueIsBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		term := &slowTerminal{gate: make(chan struct{})}
		lost := 0
		var s *Screen
		s = NewScreen(term, ScreenOptions{Queue: 1000, Lost: func() { lost++; fmt.Fprint(s, "[all]") }})
		fmt.Fprint(s, "first")
		synctest.Wait() // the writer is stuck in it
		s.Send([]byte("mode"))
		for range 500 {
			fmt.Fprint(s, strings.Repeat("x", 10))
		}
		if s.queue.size > 1000 || lost != 0 {
			t.Errorf("%d bytes wait, told %d times", s.queue.size, lost)
		}
		close(term.gate)
		synctest.Wait()
		fmt.Fprint(s, "y")
		synctest.Wait()
		if got := term.String(); got != "firstmode[all]y" || lost != 1 {
			t.Errorf("%q, told %d times", got, lost)
		}
		s.Close()
	})
}

func TestScreenClose(t *testing.T) {
	t.Run("writes what is left", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			term := &slowTerminal{gate: make(chan struct{})}
			s := NewScreen(term, ScreenOptions{})
			fmt.Fprint(s, "a")
			synctest.Wait()
			fmt.Fprint(s, "b")
			s.Show(shot(1))
			s.Send([]byte("c"))
			go close(term.gate)
			if err := s.Close(); err != nil || term.String() != "abc" {
				t.Errorf("%v, %q", err, term.String())
			}
			if _, err := s.Write([]byte("d")); !errors.Is(err, os.ErrClosed) {
				t.Error(err)
			}
			if err := s.Close(); err != nil {
				t.Error(err)
			}
		})
	})
	t.Run("gives up in time", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			term := &slowTerminal{gate: make(chan struct{})}
			s := NewScreen(term, ScreenOptions{})
			fmt.Fprint(s, "a")
			start := time.Now()
			if err := s.Close(); !errors.Is(err, ErrStuck) || time.Since(start) != time.Second {
				t.Errorf("%v after %v", err, time.Since(start))
			}
			close(term.gate)
			<-s.done
		})
	})
	t.Run("tells the first error", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			l := &landings{}
			gone := errors.New("gone")
			s := NewScreen(&slowTerminal{fail: gone}, ScreenOptions{Landed: l.add})
			s.Show(shot(1))
			synctest.Wait()
			s.Show(shot(2))
			_, werr := fmt.Fprint(s, "a")
			synctest.Wait()
			if err := s.Close(); err != gone || werr != gone || s.Err() != gone || l.String() != "1 failed" {
				t.Errorf("%v, %v; %s", err, werr, l.String())
			}
		})
	})
}

// Concurrent writers: nothing is lost, nothing mixed.
func TestScreenConcurrent(t *testing.T) {
	term := &slowTerminal{}
	s := NewScreen(term, ScreenOptions{NoFence: true})
	var wg sync.WaitGroup
	for g := range 8 {
		wg.Go(func() {
			for i := range 100 {
				fmt.Fprintf(s, "%d:%02d;", g, i)
				s.Show(Shot{ID: uint64(i)})
				s.Fenced()
			}
		})
	}
	wg.Wait()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(strings.TrimSuffix(term.String(), ";"), ";")
	slices.SortStableFunc(parts, func(a, b string) int { return int(a[0]) - int(b[0]) })
	if len(parts) != 800 || !slices.IsSorted(parts) {
		t.Errorf("%d parts: %v", len(parts), parts)
	}
}
