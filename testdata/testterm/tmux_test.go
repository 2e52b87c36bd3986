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

// TestAgainstTmux holds the emulator against one that nobody here wrote: the
// same streams go to panes of tmux, and what capture-pane shows is what
// Grid.Text says.
func TestAgainstTmux(t *testing.T) {
	tmux := testneed.Tool(t, "tmux")
	dir := t.TempDir()
	socket := filepath.Join(dir, "tmux.sock")
	run := func(args ...string) string {
		t.Helper()
		cmd := exec.Command(tmux, append([]string{"-u", "-S", socket, "-f", os.DevNull}, args...)...)
		cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "TERM=xterm-256color", "LC_ALL=C.UTF-8", "HOME=" + dir, "TMPDIR=" + dir}
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("tmux %q: %v: %s", args, err, out)
		}
		return string(out)
	}
	defer exec.Command(tmux, "-S", socket, "kill-server").Run()

	for i, s := range streams() {
		t.Run(s.name, func(t *testing.T) {
			file := filepath.Join(dir, fmt.Sprint(i))
			if err := os.WriteFile(file, []byte(s.in), 0o600); err != nil {
				t.Fatal(err)
			}
			// The pane tells the channel when everything is written, then
			// lives until it is killed; its line discipline changes nothing.
			name := fmt.Sprintf("s%d", i)
			script := fmt.Sprintf("stty raw -echo; cat %s; tmux -S %s wait-for -S %s; exec sleep 600", file, socket, name)
			run("new-session", "-d", "-s", name, "-x", "10", "-y", "4", script)
			run("set-option", "-t", name, "status", "off")
			run("wait-for", name)
			want := cut(s.want)
			if s.tmux != "" {
				want = cut(s.tmux)
			}
			// tmux reads the pane in its own time: what cat wrote may lie in
			// the pty still when the channel wakes us.
			got := ""
			for deadline := time.Now().Add(3 * time.Second); time.Now().Before(deadline); {
				if got = capture(run("capture-pane", "-p", "-t", name)); got == want {
					break
				}
			}
			if got != want {
				t.Errorf("tmux shows\n%q, the grid\n%q", got, want)
			}
			run("kill-session", "-t", name)
		})
		if i == 0 { // a server without a session ends
			run("new-session", "-d", "-s", "keep", "sleep 600")
		}
	}
}

// capture brings capture-pane's output into the form of Grid.Text.
func capture(s string) string {
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		lines[i] = strings.TrimRight(l, " ")
	}
	return strings.TrimRight(strings.Join(lines, "\n"), "\n")
}
