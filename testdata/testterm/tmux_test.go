package testterm

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/testdata/testneed"
)

// multiplexer is a tmux server of the test's own.
type multiplexer struct {
	t            *testing.T
	program, dir string
	panes        int
}

func startTmux(t *testing.T) *multiplexer {
	m := &multiplexer{t: t, program: testneed.Tool(t, "tmux"), dir: t.TempDir()}
	m.run("new-session", "-d", "-s", "keep", "sleep 600") // a server without a session ends
	t.Cleanup(func() { exec.Command(m.program, "-S", m.socket(), "kill-server").Run() })
	return m
}

func (m *multiplexer) socket() string { return filepath.Join(m.dir, "tmux.sock") }

func (m *multiplexer) run(args ...string) string {
	m.t.Helper()
	cmd := exec.Command(m.program, append([]string{"-u", "-S", m.socket(), "-f", os.DevNull}, args...)...)
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "TERM=xterm-256color", "LC_ALL=C.UTF-8", "HOME=" + m.dir, "TMPDIR=" + m.dir}
	out, err := cmd.CombinedOutput()
	if err != nil {
		m.t.Fatalf("tmux %q: %v: %s", args, err, out)
	}
	return string(out)
}

// show feeds a stream to a new pane of 10x4 and returns what it shows, with its
// attributes as escape sequences. tmux reads the pane in its own time, so the
// pane is looked at until it is as it should be, at most for a while.
func (m *multiplexer) show(in string, good func(string) bool) string {
	m.t.Helper()
	m.panes++
	name := fmt.Sprintf("s%d", m.panes)
	file := filepath.Join(m.dir, name)
	if err := os.WriteFile(file, []byte(in), 0o600); err != nil {
		m.t.Fatal(err)
	}
	// The pane tells a channel when everything is written, then lives until it
	// is killed; its line discipline changes nothing.
	script := fmt.Sprintf("stty raw -echo; cat %s; tmux -S %s wait-for -S %s; exec sleep 600", file, m.socket(), name)
	m.run("new-session", "-d", "-s", name, "-x", "10", "-y", "4", script)
	m.run("set-option", "-t", name, "status", "off")
	m.run("wait-for", name)
	defer m.run("kill-session", "-t", name)
	out := ""
	for deadline := time.Now().Add(3 * time.Second); time.Now().Before(deadline); {
		if out = m.run("capture-pane", "-e", "-p", "-t", name); good(out) {
			break
		}
	}
	return out
}

// regrid shows captured output on a grid.
func regrid(captured string) *Grid {
	g := New(10, 4)
	g.Write([]byte(strings.ReplaceAll(strings.TrimRight(captured, "\n"), "\n", "\r\n")))
	return g
}

// TestAgainstTmux holds the emulator against one that nobody here wrote: the
// same streams go to panes of tmux, and what capture-pane shows is what the
// grid shows, text and, of cells with text, attributes.
func TestAgainstTmux(t *testing.T) {
	m := startTmux(t)
	for _, s := range streams() {
		t.Run(s.name, func(t *testing.T) {
			m.t = t
			want := cut(s.want)
			if s.tmux != "" {
				want = cut(s.tmux)
			}
			got := regrid(m.show(s.in, func(out string) bool { return regrid(out).Text() == want })).Text()
			if got != want {
				t.Errorf("tmux shows\n%q, the grid\n%q", got, want)
			}
		})
	}
	for _, c := range renditions() {
		t.Run(c.name, func(t *testing.T) {
			m.t = t
			style := func(out string) string { return regrid(out).Cell(0, 0).Style() }
			if got := style(m.show(c.in+"x", func(out string) bool { return strings.Contains(out, "x") })); got != c.want {
				t.Errorf("tmux shows %q, the grid %q", got, c.want)
			}
		})
	}
}
