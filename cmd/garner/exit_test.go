package main

import (
	"bufio"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// TestExitCodes holds the codes that scripts rely on (DESIGN section 6).
func TestExitCodes(t *testing.T) {
	dir, _ := smallJob(t, 1)
	broken, _ := smallJob(t, 1)
	if err := os.WriteFile(filepath.Join(broken, "A", "LMR_0009.NEF"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		want int
		in   string
		args []string
	}{
		{exitDone, "", []string{"status", dir}},
		{exitDone, "keep A/LMR_0001\n", []string{"decide", dir}},
		{exitFailed, "", []string{"status", filepath.Join(dir, "nowhere")}},
		{exitFailed, "", []string{"prepare", filepath.Join(dir, "A", "LMR_0001.DNG")}},
		{exitUsage, "", []string{"status"}},
		{exitUsage, "", []string{"status", ""}},
		{exitUsage, "", []string{"status", dir, "--nosuch"}},
		{exitUsage, "", []string{"nosuch", dir}},
		{exitUsage, "", []string{"handoff", dir, "--rating", "9"}},
		{exitUsage, "", []string{"clocks", dir, "--set", "A"}},
		{exitPartly, "", []string{"prepare", broken}},
		{exitPartly, "keep nothing\n", []string{"decide", dir}},
	} {
		c := garner(tt.args...)
		c.Stdin = strings.NewReader(tt.in)
		msg, _ := c.CombinedOutput()
		if got := c.ProcessState.ExitCode(); got != tt.want {
			t.Errorf("garner %q: exit code %d, want %d\n%s", tt.args, got, tt.want, msg)
		}
	}
}

// TestInterruptedPrepareGoesOn interrupts a prepare that has told of its first
// frame and cannot tell of all, because nobody reads on.
func TestInterruptedPrepareGoesOn(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be sent an interrupt here")
	}
	dir, names := smallJob(t, 200)
	if err := os.RemoveAll(filepath.Join(dir, ".garner")); err != nil {
		t.Fatal(err)
	}
	c := garner("prepare", dir, "--json", "--workers", "1", "--no-measures")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var errs strings.Builder
	c.Stderr = &errs
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewReader(out)
	if _, err := lines.ReadString('\n'); err != nil {
		t.Fatal(err)
	}
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(io.Discard, lines); err != nil {
		t.Fatal(err)
	}
	_ = c.Wait()
	if c.ProcessState.ExitCode() != exitInterrupted || !strings.Contains(errs.String(), "goes on from here") {
		t.Errorf("exit code %d: %s", c.ProcessState.ExitCode(), errs.String())
	}
	all := outputOf(t, "prepare", dir, "--json", "--no-measures")
	if n := strings.Count(all, `"frame":`); n != len(names) {
		t.Errorf("%d frames after going on, want %d", n, len(names))
	}
}

// TestInterruptedDecide: what was answered with ok is kept.
func TestInterruptedDecide(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be sent an interrupt here")
	}
	dir, names := smallJob(t, 2)
	c := garner("decide", dir)
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	fmt.Fprintln(in, "drop "+names[1])
	if s, _ := bufio.NewReader(out).ReadString('\n'); !strings.HasPrefix(s, "ok ") {
		t.Fatal(s)
	}
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	var exit *exec.ExitError
	if err := c.Wait(); !errors.As(err, &exit) || exit.ExitCode() != exitInterrupted {
		t.Errorf("interrupted: %v", err)
	}
	if got := standing(t, dir, names); got[names[1]] != "drop" {
		t.Errorf("standing %v", got)
	}
	// The lock went with it.
	again := garner("decide", dir)
	again.Stdin = strings.NewReader("keep " + names[0] + "\n")
	if msg, err := again.CombinedOutput(); err != nil {
		t.Errorf("after the interrupt: %v\n%s", err, msg)
	}
}

// TestNoTerminalNoEscapes: into a file or a pipe there is no progress line, no
// carriage return and no colour, whatever the environment says.
func TestNoTerminalNoEscapes(t *testing.T) {
	dir, _ := smallJob(t, 3)
	for _, env := range []string{"NO_COLOR=1", "CLICOLOR_FORCE=1", "TERM=dumb"} {
		for _, args := range [][]string{{"prepare", dir}, {"verify", dir}, {"status", dir}, {"handoff", dir}, {"--help"}, {"prepare", "--help"}, {"nosuch"}} {
			c := garner(args...)
			c.Env = append(c.Env, env)
			if out, _ := c.CombinedOutput(); strings.ContainsAny(string(out), "\x1b\r") {
				t.Errorf("%s garner %q: %q", env, args, out)
			}
		}
	}
}

// TestNamesThatAreNotUTF8 come with their bytes, so that a program can open them.
func TestNamesThatAreNotUTF8(t *testing.T) {
	dir, _ := smallJob(t, 1)
	data, err := os.ReadFile(filepath.Join(dir, "A", "LMR_0001.DNG"))
	if err != nil {
		t.Fatal(err)
	}
	name := "A/b\xe9b\xe9.DNG" // Latin-1
	if err := os.Rename(filepath.Join(dir, "A", "LMR_0001.DNG"), filepath.Join(dir, name)); err != nil {
		t.Skip("the file system does not take such names: " + err.Error())
	}
	if err := os.WriteFile(filepath.Join(dir, "A/\xff.txt"), data[:0], 0o644); err != nil {
		t.Fatal(err)
	}
	b64 := func(s string) string { return base64.StdEncoding.EncodeToString([]byte(s)) }
	var frame, other map[string]any
	for line := range strings.Lines(outputOf(t, "prepare", dir, "--json")) {
		var o map[string]any
		if err := json.Unmarshal([]byte(line), &o); err != nil {
			t.Fatal(err)
		}
		if o["frame"] != nil {
			frame = o
		}
		if o["other"] != nil {
			other = o
		}
	}
	if frame["raw"] != b64("A/b\xe9b\xe9") || frame["raw_files"].([]any)[0] != b64(name) || frame["previews"].([]any)[0].(map[string]any)["raw"] != b64(name) {
		t.Errorf("%v", frame)
	}
	if other["raw"] != b64("A/\xff.txt") {
		t.Errorf("%v", other)
	}
}
