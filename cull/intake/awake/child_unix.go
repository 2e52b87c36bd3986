//go:build linux || darwin

package awake

import (
	"os/exec"
	"syscall"
	"time"
)

// patience is how long a child may take to end by itself once its input has ended.
const patience = 2 * time.Second

// hold runs a program that keeps the machine awake while it runs. It has a session
// of its own, so that an interrupt typed at the terminal does not end it before the
// work has come to its end, and so that it has no terminal to ask for a password
// on. Release ends its input, waits, and kills it after the given time.
func hold(patience time.Duration, name string, args ...string) func() {
	path, err := exec.LookPath(name)
	if err != nil {
		return func() {}
	}
	c := exec.Command(path, args...)
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	in, err := c.StdinPipe()
	if err != nil {
		return func() {}
	}
	if err := c.Start(); err != nil {
		return func() {}
	}
	return func() {
		_ = in.Close()
		// The group, so that what the program started ends with it.
		kill := time.AfterFunc(patience, func() { _ = syscall.Kill(-c.Process.Pid, syscall.SIGKILL) })
		_ = c.Wait()
		kill.Stop()
	}
}
