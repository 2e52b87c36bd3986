//go:build unix

package tui

import (
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"

	"garner/preview/term"
)

// guard puts the terminal in order should the station be killed before it can do
// so itself: without it a person would sit before a shell that shows nothing of
// what is typed, on a screen that is not its own.
//
// It is a shell of a few lines that waits at a pipe. It has a session of its own,
// so that what ends the station does not end it, and it does nothing unless the
// pipe closes without a word.
type guard struct {
	cmd  *exec.Cmd
	pipe io.WriteCloser
}

// The guard's lines: $1 is what stty -g said, $2 what puts the modes back, $3 the
// sentence for the person; descriptor 3 is the terminal (POSIX sh, stty, printf).
const guardLines = `IFS= read -r word; [ "$word" = left ] && exit 0
stty "$1" <&3; printf '%b' "$2" >&3; printf '\n%s\n' "$3" >&3`

const guardSays = "garner: the station was stopped from outside; every decision that was shown is kept, the same command goes on from here"

// newGuard starts a guard of a terminal in its present modes. Where the system has
// no such shell there is none, which costs nothing but its service.
func newGuard(tty *os.File) *guard {
	stty := exec.Command("stty", "-g")
	stty.Stdin = tty
	modes, err := stty.Output()
	if err != nil {
		return nil
	}
	// The modes of the keyboard belong to the alternate screen, which a station
	// that was killed early may not have opened yet.
	reset := strings.ReplaceAll(alternate+string(term.Reset()), "\x1b", `\033`)
	cmd := exec.Command("/bin/sh", "-c", guardLines, "garner-guard", strings.TrimSpace(string(modes)), strings.ReplaceAll(reset, `\033\`, `\033\\`), guardSays)
	cmd.ExtraFiles = []*os.File{tty}
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	pipe, err := cmd.StdinPipe()
	if err != nil {
		return nil
	}
	if err := cmd.Start(); err != nil {
		return nil
	}
	return &guard{cmd, pipe}
}

// dismiss ends the guard after the station has put everything in order itself.
func (g *guard) dismiss() {
	if g == nil {
		return
	}
	io.WriteString(g.pipe, "left\n")
	g.pipe.Close()
	g.cmd.Wait()
}
