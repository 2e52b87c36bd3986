package testfat

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/testdata/testneed"
)

// insideKey is set where a test runs in a kernel of its own.
const insideKey = "GARNER_TEST_KERNEL"

// Inside reports whether the test runs in a kernel that [Kernel] started.
func Inside() bool { return os.Getenv(insideKey) != "" }

// patience is how long a kernel may take; it starts in a second or two.
const patience = 4 * time.Minute

// Kernel runs tests of the running test binary once more, in a Linux of its own
// that runs as a process (user-mode-linux), as root, with the drivers that the
// machine's own kernel may not have. It returns what they said and fails the test
// unless they passed. The tests see this machine's files, and a folder for
// temporary ones in memory.
func Kernel(t testing.TB, tests string) string {
	t.Helper()
	out := Machine{}.Run(t, tests)
	if !strings.HasSuffix(out, "exit status 0\n") {
		t.Errorf("in a kernel of its own:\n%s", out)
	}
	return out
}

// Machine is a kernel with what belongs to it.
type Machine struct {
	Disk string   // an image, there /dev/ubda; may be empty
	Env  []string // NAME=value, without blanks
}

// Run is [Kernel] that leaves judging to the caller: the tests may not have come
// to an end, because they cut the power.
func (m Machine) Run(t testing.TB, tests string) string {
	t.Helper()
	linux := testneed.Tool(t, "linux.uml")
	binary, err := os.Executable()
	must(t, err)
	wd, err := os.Getwd()
	must(t, err)
	dir := t.TempDir()
	script, result := filepath.Join(dir, "init"), filepath.Join(dir, "result")
	must(t, os.WriteFile(script, fmt.Appendf(nil, `#!/bin/sh
export PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin HOME=/root TMPDIR=/mnt %s=1 %s
mount -t proc proc /proc
mount -t sysfs sysfs /sys
mount -t tmpfs -o size=75%% tmpfs /mnt
cd %q && %q -test.run %q -test.v -test.count 1 >%q 2>&1
echo "exit status $?" >>%q
echo o >/proc/sysrq-trigger
sleep 60
`, insideKey, strings.Join(m.Env, " "), wd, binary, tests, result, result), 0o755))
	args := []string{"mem=768M", "rootfstype=hostfs", "rootflags=/", "rw", "init=" + script, "con=null", "con0=null,fd:1", "quiet"}
	if m.Disk != "" {
		args = append(args, "ubd0="+m.Disk)
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	console, err := exec.CommandContext(ctx, linux, args...).CombinedOutput()
	out, rerr := os.ReadFile(result)
	if errors.Is(rerr, os.ErrNotExist) && ctx.Err() == nil { // it ended before it came to the first command
		t.Skipf("needs a machine on which linux.uml starts (%v): %.300s", err, console)
	}
	if rerr != nil || err != nil && ctx.Err() != nil {
		t.Fatalf("no result of the kernel (%v, %v)\n%s\n%s", err, rerr, console, out)
	}
	return string(out)
}

// CutPower ends the kernel that the test is inside of at once: what it has not
// written to its disk by then is lost. It does not return.
func CutPower() {
	os.WriteFile("/proc/sysrq-trigger", []byte("o"), 0) // power off, without syncing (Documentation/admin-guide/sysrq.rst of Linux)
	select {}
}

// MountDisk mounts the machine's disk.
func MountDisk(t testing.TB, fsType, dir string) {
	t.Helper()
	loadModules(t)
	must(t, os.MkdirAll(dir, 0o755))
	run(t, "mount", "-t", fsType, "/dev/ubda", dir)
}
