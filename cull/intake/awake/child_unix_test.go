//go:build linux || darwin

package awake

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// program puts a shell script into PATH, alone but for the system's own folders.
func program(t *testing.T, name, script string) (log string) {
	t.Helper()
	dir := t.TempDir()
	log = filepath.Join(dir, "log")
	if err := os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\n"+script), 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", dir+":/usr/bin:/bin")
	t.Setenv("AWAKE_LOG", log)
	return log
}

func read(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// running reports whether a process is there (kill(2), signal 0).
func running(pid int) bool { return !errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) }

// The lock is held while the child runs, and release returns after its end.
func TestReleaseJoinsTheChild(t *testing.T) {
	log := program(t, "stay", `echo "$@" >"$AWAKE_LOG"; cat; echo ended >>"$AWAKE_LOG"`+"\n")
	release := hold(time.Minute, "stay", "--a", "b c")
	release()
	if got := read(t, log); got != "--a b c\nended\n" {
		t.Errorf("the child wrote %q", got)
	}
}

// A child that does not end with its input is killed, with what it started.
func TestChildThatStays(t *testing.T) {
	log := program(t, "stay", `exec sleep 1000 <"$AWAKE_FIFO"`+"\n")
	fifo := log + ".fifo"
	if err := syscall.Mkfifo(fifo, 0o600); err != nil {
		t.Skip(err)
	}
	t.Setenv("AWAKE_FIFO", fifo)
	hold(time.Millisecond, "stay")() // hangs in the open of the pipe that nobody writes to
}

// Killed with its group: the program's own child, which has the pipe, too.
func TestGroupOfTheChild(t *testing.T) {
	log := program(t, "stay", `sleep 1000 & echo $! >"$AWAKE_LOG.new"; mv "$AWAKE_LOG.new" "$AWAKE_LOG"; cat; wait`+"\n")
	release := hold(time.Millisecond, "stay")
	for range 1_000_000 { // until the script has said whom it started
		if _, err := os.Stat(log); err == nil {
			break
		}
		runtime.Gosched()
	}
	pid, err := strconv.Atoi(strings.TrimSpace(read(t, log)))
	if err != nil {
		t.Fatal(err)
	}
	release()
	for i := 0; running(pid); i++ { // its parent is gone: init takes the zombie
		if state := procState(pid); state == "Z" {
			break
		}
		if i > 10_000_000 {
			t.Fatalf("process %d, started by the child, still runs", pid)
		}
		runtime.Gosched()
	}
}

// procState is the state letter of proc(5), "" where there is no such file.
func procState(pid int) string {
	data, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	if err != nil {
		return ""
	}
	_, after, _ := strings.Cut(string(data), ") ")
	return after[:min(1, len(after))]
}

// Without the program, or where it refuses at once, work goes on and nothing is left.
func TestNoWay(t *testing.T) {
	t.Run("missing", func(t *testing.T) {
		t.Setenv("PATH", t.TempDir())
		Keep("testing")()
	})
	for _, name := range []string{"systemd-inhibit", "caffeinate"} {
		t.Run(name+" refuses", func(t *testing.T) {
			program(t, name, "echo Access denied >&2; exit 1\n")
			Keep("testing")()
		})
	}
}
