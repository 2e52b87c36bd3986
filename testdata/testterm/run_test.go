//go:build linux || darwin

package testterm

import (
	"bytes"
	"fmt"
	"os"
	"os/signal"
	"regexp"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/term"
)

// TestMain makes the test binary the program on the terminal, too.
func TestMain(m *testing.M) {
	switch os.Getenv("TESTTERM_CHILD") {
	case "":
	case "framework":
		os.Exit(frameworkChild())
	default:
		os.Exit(child())
	}
	os.Exit(m.Run())
}

// child shows what it reads, one quoted line a read, and what signals it gets.
// Some letters make it do things, as a program on a terminal would.
func child() int {
	old, err := term.MakeRaw(0)
	if err != nil {
		fmt.Println(err)
		return 9
	}
	defer term.Restore(0, old)
	signals := make(chan os.Signal, 10)
	signal.Notify(signals, syscall.SIGWINCH, syscall.SIGHUP)
	input := make(chan string)
	go func() {
		buf := make([]byte, 4096)
		for {
			n, err := os.Stdin.Read(buf)
			if err != nil {
				close(input)
				return
			}
			input <- string(buf[:n])
		}
	}()
	fmt.Printf("TERM=%s TMUX=%q NO_COLOR=%q X=%q\r\n", os.Getenv("TERM"), os.Getenv("TMUX"), os.Getenv("NO_COLOR"), os.Getenv("X"))
	fmt.Print("ready\r\n")
	for {
		select {
		case s := <-signals:
			if s == syscall.SIGHUP {
				os.WriteFile(os.Getenv("TESTTERM_CHILD"), []byte("hung up"), 0o600)
				return 4
			}
			cols, rows, _ := term.GetSize(0)
			fmt.Printf("size %dx%d\r\n", cols, rows)
		case s, ok := <-input:
			if !ok {
				return 5
			}
			fmt.Printf("%q\r\n", s)
			switch s {
			case "q":
				return 3
			case "m": // a mess
				fmt.Print("\x1b[?1049h\x1b[?25l\x1b[?2004h\x1b[1m")
				return 0
			case "f":
				fmt.Print("\x1b[5n")
			case "e":
				fmt.Print("\x1b[>11u")
			case "?":
				fmt.Print("\x1b[c\x1b[?2026$p\x1b[14t\x1b]11;?\x1b\\" + apc("i=31,s=1,v=1,a=q,f=24", []byte{0, 0, 0}))
			case "u":
				fmt.Print("\x1b[?2026hinside")
			case "U":
				fmt.Print("\x1b[?2026l")
			}
		}
	}
}

func startChild(t *testing.T, a Answerer, env ...string) (*Run, string) {
	t.Helper()
	note := t.TempDir() + "/note"
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	r := Setup{Cols: 60, Rows: 40, Answerer: a, Env: append(env, "TESTTERM_CHILD="+note)}.Start(t, exe)
	r.WaitText("ready")
	return r, note
}

func TestRunEnvironment(t *testing.T) {
	t.Setenv("NO_COLOR", "1")
	t.Setenv("TMUX", "/tmp/x,1,2")
	t.Setenv("TERM", "dumb")
	r, _ := startChild(t, Answerer{}, "X=given")
	if want := `TERM=xterm-256color TMUX="" NO_COLOR="" X="given"`; r.Snapshot().Row(0) != want {
		t.Errorf("got %s", r.Text())
	}
	given, _ := startChild(t, Answerer{}, "NO_COLOR=1")
	given.WaitText(`NO_COLOR="1"`)
}

func TestRunKeys(t *testing.T) {
	r, _ := startChild(t, Kitty())
	r.Type("k")
	r.WaitText(`(?m)^"k"$`)
	r.Key("right")
	r.WaitText(`(?m)^"\\x1b\[C"$`)
	r.Raw([]byte("abc\xff"))
	r.WaitText(`"abc\\xff"`)
	r.Type("e") // asks for key events: those of e itself come after
	r.WaitFor(func(g *Grid) bool { return g.KeyboardFlags() == 11 })
	r.Key("d")
	r.WaitText(`"\\x1b\[100u\\x1b\[100;1:3u"`)
	if err := r.Snapshot().Clean(); err == nil || !strings.Contains(err.Error(), "keyboard flags") {
		t.Errorf("clean: %v", err)
	}
}

func TestRunExit(t *testing.T) {
	for _, c := range []struct {
		name  string
		act   func(*Run)
		code  int
		sig   syscall.Signal
		clean bool
	}{
		{"by itself", func(r *Run) { r.Type("q") }, 3, 0, true},
		{"in a mess", func(r *Run) { r.Type("m") }, 0, 0, false},
		{"killed", func(r *Run) { r.Signal(syscall.SIGKILL) }, -1, syscall.SIGKILL, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, _ := startChild(t, Answerer{})
			c.act(r)
			if code, sig := r.Exit(); code != c.code || sig != c.sig {
				t.Errorf("got %d, %v", code, sig)
			}
			if err := r.Snapshot().Clean(); (err == nil) != c.clean {
				t.Errorf("clean: %v", err)
			}
		})
	}
}

func TestRunHangup(t *testing.T) {
	r, note := startChild(t, Answerer{})
	r.Hangup()
	if code, sig := r.Exit(); code != 4 && code != 5 {
		t.Errorf("got %d, %v", code, sig)
	} else if b, err := os.ReadFile(note); code == 4 && (err != nil || string(b) != "hung up") {
		t.Errorf("note %q, %v", b, err)
	}
}

func TestRunResize(t *testing.T) {
	r, _ := startChild(t, Answerer{})
	r.Resize(100, 30)
	r.WaitText("size 100x30")
	if cols, rows := r.Snapshot().Size(); cols != 100 || rows != 30 {
		t.Errorf("the grid is %dx%d", cols, rows)
	}
}

func TestRunAnswers(t *testing.T) {
	r, _ := startChild(t, Kitty())
	r.Type("?")
	// The answers may come in any number of reads.
	want := `\x1b[?62;52c\x1b[?2026;2$y\x1b[4;800;600t\x1b]11;rgb:0000/0000/0000\x1b\\\x1b_Gi=31;OK\x1b\\`
	joined := regexp.MustCompile(`"\n"|\n`)
	r.WaitFor(func(g *Grid) bool { return strings.Contains(joined.ReplaceAllString(g.Text(), ""), want) })
}

func TestRunFences(t *testing.T) {
	r, _ := startChild(t, Answerer{})
	const answer = `(?m)^"\\x1b\[0n"$`
	r.Type("f")
	r.WaitText(answer)
	r.Withhold(true)
	r.Type("f")
	r.WaitHeld(1)
	r.Type("x") // keys still come through
	r.WaitText(`(?m)^"x"$`)
	if asked, held := r.Fences(); asked != 2 || held != 1 {
		t.Errorf("asked %d, kept back %d", asked, held)
	}
	if n := len(regexp.MustCompile(answer).FindAllString(r.Text(), -1)); n != 1 {
		t.Errorf("%d answers:\n%s", n, r.Text())
	}
	r.Release()
	r.WaitText(`(?s)"x".*\n"\\x1b\[0n"`)
	r.Type("f")
	r.WaitText(`(?s)"x".*\n"\\x1b\[0n".*"\\x1b\[0n"`)
}

func TestRunDelayedFence(t *testing.T) {
	var asked time.Time
	const delay = 300 * time.Millisecond
	r, _ := startChild(t, Answerer{Fence: func(at time.Time) time.Duration { asked = at; return delay }})
	r.Type("f")
	r.WaitText(`(?m)^"\\x1b\[0n"$`)
	if took := time.Since(asked); took < delay {
		t.Errorf("answered after %v", took)
	}
}

// TestRunSchedule types a held key: nothing is early, nothing is lost, and all
// arrives in order.
func TestRunSchedule(t *testing.T) {
	r, _ := startChild(t, Answerer{})
	strokes := Held("k", 100*time.Millisecond, 33*time.Millisecond, 400*time.Millisecond)
	start := time.Now()
	late := r.Schedule(append(strokes, Stroke{At: 410 * time.Millisecond, Key: "x"})...).Wait()
	if took := time.Since(start); took < 410*time.Millisecond {
		t.Errorf("typed in %v", took)
	}
	for i, d := range late {
		if d < 0 {
			t.Errorf("stroke %d was %v early", i, -d)
		}
	}
	t.Logf("late by %v", late)
	r.WaitText(`(?m)x"$`)
	presses := len(strokes) - 1 // the release is not told
	if got := strings.Count(r.Text(), "k"); presses != 11 || got != presses {
		t.Errorf("%d keys arrived, %d were typed:\n%s", got, presses, r.Text())
	}
}

// TestRunWaits: a synchronised update is not looked into, and a wait that
// fails shows the screen.
func TestRunWaits(t *testing.T) {
	r, _ := startChild(t, Answerer{})
	r.Type("u")
	for { // what is there already, waits must not see yet
		r.mu.Lock()
		there, changed := strings.Contains(r.grid.Text(), "inside"), r.changed
		r.mu.Unlock()
		if there {
			break
		}
		<-changed
	}
	probe := &recorder{TB: t}
	r.t, r.wait = probe, 50*time.Millisecond
	failed := make(chan struct{})
	go func() { // a goroutine of its own, because failing ends it
		defer close(failed)
		r.WaitText("inside")
	}()
	<-failed
	r.t, r.wait = t, 20*time.Second
	if !strings.Contains(probe.message, "inside") || !strings.Contains(probe.message, "|ready") {
		t.Errorf("the message is %q", probe.message)
	}
	r.Type("U")
	r.WaitText("inside")
	if !bytes.Contains(r.Output(), []byte("\x1b[?2026l")) {
		t.Error("the output was not kept")
	}
}

// recorder is a test that remembers how it failed.
type recorder struct {
	testing.TB
	message string
}

func (r *recorder) Helper() {}
func (r *recorder) Fatalf(format string, args ...any) {
	r.message = fmt.Sprintf(format, args...)
	runtime.Goexit()
}
