//go:build unix

package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"

	"garner/testdata/testcard"
	"garner/testdata/testneed"
)

// told is a line of offload --json.
type told struct {
	Event       string
	Path, To    string
	State       string
	Why         any // of a file a sentence, of a card several
	Notes       []string
	Safe        *bool
	Files       int
	Failed      int
	Interrupted bool
}

// lines are the objects of offload --json.
func (s said) lines(t *testing.T) (all []told) {
	t.Helper()
	for line := range strings.Lines(s.out) {
		var o told
		if err := json.Unmarshal([]byte(line), &o); err != nil {
			t.Fatalf("%v: %s", err, line)
		}
		all = append(all, o)
	}
	return all
}

// file is what was told of one file of a card.
func (s said) file(t *testing.T, path string) told {
	t.Helper()
	for _, o := range s.lines(t) {
		if o.Event == "file" && o.Path == path {
			return o
		}
	}
	t.Fatalf("nothing is told of %s\n%s", path, s.err)
	return told{}
}

// unsafe fails if any card was called safe, in words or in JSON.
func (s said) unsafe(t *testing.T) {
	t.Helper()
	s.expectSafe(t, 0)
	for _, o := range s.lines(t) {
		if o.Event == "card" && o.Safe != nil && *o.Safe {
			t.Fatalf("the card is called safe\n%s", s.err)
		}
	}
}

// place is a card with some frames and two destinations for it on two devices.
type place struct {
	card, job, also string
	files           map[string][]byte // of the card, by path
}

// frames is the card of most tests: six frames of about 300 kB.
func frames() testcard.Run {
	return testcard.Run{Folder: "DCIM/100LMRFV", First: 1, Count: 6, Shot: testcard.Shot{Counter: 41, Size: 300_000}}
}

func newPlace(t *testing.T, runs ...testcard.Run) place {
	t.Helper()
	dir := t.TempDir()
	p := place{card: filepath.Join(dir, "card"), job: filepath.Join(dir, "job"), also: filepath.Join(elsewhere(t), "copy")}
	p.files = testcard.Card(t, testcard.Disk(t, p.card), runs...)
	return p
}

// offload runs garner offload on it.
func (p place) offload(t *testing.T, more ...string) said {
	t.Helper()
	return offload(t, append([]string{p.card, "--job", p.job, "--also", p.also, "--json"}, more...)...)
}

// arrived fails unless all files of the card are at both destinations, once each.
func (p place) arrived(t *testing.T) {
	t.Helper()
	want := values(contents(t, p.card))
	for _, d := range []string{p.job, p.also} {
		onceEach(t, d, want)
		proven(t, d)
	}
}

// whole fails if a destination holds anything that is on no card; what there is
// is listed right.
func (p place) whole(t *testing.T, dests ...string) {
	t.Helper()
	want := map[string]bool{}
	for _, data := range p.files {
		want[sumOf(data)] = true
	}
	for _, d := range dests {
		for path, sum := range contents(t, d) {
			if !want[sum] {
				t.Errorf("%s holds what is on no card", filepath.Join(d, path))
			}
		}
		proven(t, d)
	}
}

// mounted mounts a file system and takes it down at the end. Where that is not
// allowed the test is skipped.
func mounted(t *testing.T, dir string, args ...string) {
	t.Helper()
	if runtime.GOOS != "linux" || os.Getuid() != 0 {
		t.Skip("mounts file systems, which root alone may")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("mount", append(args, dir)...).CombinedOutput(); err != nil {
		t.Skipf("nothing can be mounted here: %v: %s", err, out)
	}
	t.Cleanup(func() { _ = exec.Command("umount", "-l", dir).Run() })
}

// begun starts garner offload --json and returns after the first file is told of.
// The rest ends with finish.
type begun struct {
	cmd  *exec.Cmd
	errs strings.Builder
	out  strings.Builder
	in   *bufio.Reader
}

func (p place) begin(t *testing.T, more ...string) *begun {
	t.Helper()
	b := &begun{cmd: garner(append([]string{"offload", p.card, "--job", p.job, "--also", p.also, "--json"}, more...)...)}
	b.cmd.Stderr = &b.errs
	out, err := b.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := b.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	b.in = bufio.NewReader(out)
	for {
		line, err := b.in.ReadString('\n')
		b.out.WriteString(line)
		if err != nil {
			_ = b.cmd.Wait()
			t.Fatalf("it ended before the first file: %s", b.errs.String())
		}
		if strings.Contains(line, `"event":"file"`) {
			return b
		}
	}
}

func (b *begun) signal(t *testing.T, s os.Signal) {
	t.Helper()
	if err := b.cmd.Process.Signal(s); err != nil {
		t.Fatal(err)
	}
}

func (b *begun) finish(t *testing.T) said {
	t.Helper()
	if _, err := io.Copy(&b.out, b.in); err != nil {
		t.Fatal(err)
	}
	_ = b.cmd.Wait()
	return said{b.cmd.ProcessState.ExitCode(), b.out.String(), b.errs.String()}
}

// A read error: the file is tried again, then listed, and the rest goes on. The
// system call itself is made to fail, by strace(1).
func TestOffloadReadError(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("strace is a program of Linux")
	}
	strace := testneed.Tool(t, "strace")
	p := newPlace(t, frames())
	watched(t, p.card)
	bad := filepath.Join(p.card, "DCIM/100LMRFV/LMR_0003.CR3")
	c := exec.Command(strace, "-f", "-qq", "-o", os.DevNull, "-P", bad, "-e", "trace=read", "-e", "inject=read:error=EIO",
		os.Args[0], "offload", p.card, "--job", p.job, "--also", p.also, "--json")
	c.Env = append(os.Environ(), asProgram)
	s := ended(t, c)
	s.expect(t, exitPartly, "LMR_0003.CR3", "input/output error")
	s.unsafe(t)
	if f := s.file(t, "DCIM/100LMRFV/LMR_0003.CR3"); f.State != "failed" || !strings.Contains(fmt.Sprint(f.Why), "input/output error") {
		t.Errorf("%+v", f)
	}
	p.whole(t, p.job, p.also)
	if n := len(contents(t, p.job)); n != 5 {
		t.Errorf("%d files arrived, want 5", n)
	}
	// The contact holds again.
	s = p.offload(t)
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	p.arrived(t)
}

// A file that is written to while it is read.
func TestOffloadSourceChanges(t *testing.T) {
	run := frames()
	run.Shot.Size = 8 << 20
	p := newPlace(t, run)
	name := filepath.Join(p.card, "DCIM/100LMRFV/LMR_0004.CR3")
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for i := byte(0); ; i++ {
			select {
			case <-stop:
				return
			default:
				_, _ = f.WriteAt([]byte{i}, 4<<20)
			}
		}
	}()
	s := p.offload(t)
	close(stop)
	<-stopped
	s.expect(t, exitPartly, "LMR_0004.CR3", "changed while it was read")
	s.unsafe(t)
	for _, d := range []string{p.job, p.also} {
		if n := len(contents(t, d)); n != 5 {
			t.Errorf("%s has %d files, want 5", d, n)
		}
		proven(t, d)
	}
	s = p.offload(t)
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	p.arrived(t)
}

// Room is counted before the first byte.
func TestOffloadNoRoom(t *testing.T) {
	p := newPlace(t, frames())
	p.also = filepath.Join(t.TempDir(), "small")
	mounted(t, p.also, "-t", "tmpfs", "-o", "size=1m", "tmpfs")
	s := p.offload(t)
	s.expect(t, exitFailed, "not enough room", p.also)
	s.unsafe(t)
	for _, d := range []string{p.job, p.also} {
		if c := contents(t, d); len(c) > 0 {
			t.Errorf("%s has %v", d, c)
		}
	}
}

// A destination that fills up while it is written to: it is given up, said once, and
// the other one is finished.
func TestOffloadDestinationFillsUp(t *testing.T) {
	run := frames()
	run.Count, run.Shot.Size = 24, 1<<20
	p := newPlace(t, run)
	watched(t, p.card)
	p.also = filepath.Join(t.TempDir(), "small")
	mounted(t, p.also, "-t", "tmpfs", "-o", "size=40m", "tmpfs")
	b := p.begin(t)
	filler := filepath.Join(p.also, "somebody else's.bin")
	fillUp(t, filler)
	s := b.finish(t)
	s.expect(t, exitPartly, "no space left on device")
	s.unsafe(t)
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	p.whole(t, p.job)
	if n := len(contents(t, p.job)); n != run.Count {
		t.Errorf("%d files are in the job, want all %d", n, run.Count)
	}
	if n := strings.Count(s.err, "STOPPED"); n != 1 {
		t.Errorf("it is said %d times that the destination is out:\n%s", n, s.err)
	}
	s = p.offload(t)
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	p.arrived(t)
}

func fillUp(t *testing.T, name string) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for block := make([]byte, 1<<20); len(block) > 0; {
		if _, err := f.Write(block); err != nil {
			block = block[:len(block)/2]
		}
	}
}

func TestOffloadDestinationIsReadOnly(t *testing.T) {
	p := newPlace(t, frames())
	p.also = filepath.Join(t.TempDir(), "locked")
	mounted(t, p.also, "-t", "tmpfs", "-o", "ro", "tmpfs")
	s := p.offload(t)
	s.expect(t, exitFailed, "read-only file system", p.also)
	s.unsafe(t)
	if c := contents(t, p.job); len(c) > 0 {
		t.Errorf("the job has %v", c)
	}
}

// A disk is taken away while it is written to. Its mount point is a folder of
// another disk then: what is written there stands on no second device.
func TestOffloadDestinationGone(t *testing.T) {
	run := frames()
	run.Count, run.Shot.Size = 24, 1<<20
	p := newPlace(t, run)
	watched(t, p.card)
	mount := filepath.Join(t.TempDir(), "mount")
	mounted(t, mount, "-t", "tmpfs", "-o", "size=80m", "tmpfs")
	p.also = filepath.Join(mount, "copy")
	b := p.begin(t)
	b.signal(t, syscall.SIGSTOP)
	if out, err := exec.Command("umount", "-l", mount).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	b.signal(t, syscall.SIGCONT)
	s := b.finish(t)
	s.expect(t, exitPartly)
	s.unsafe(t)
	p.whole(t, p.job)
	if n := len(contents(t, p.job)); n != run.Count {
		t.Errorf("%d files are in the job, want all %d", n, run.Count)
	}
}

// The card's own file system goes away in the middle of a file: the daemon that
// serves it is killed. What had arrived is whole; with the card back, the rest comes.
func TestOffloadCardPulledOut(t *testing.T) {
	run := frames()
	run.Count, run.Shot.Size = 16, 2<<20
	p := newPlace(t, run)
	image := fatImage(t, 64)
	pulled := filepath.Join(t.TempDir(), "mount")
	fat := mountFAT(t, image, pulled, "rw+")
	if err := os.CopyFS(pulled, os.DirFS(p.card)); err != nil {
		t.Fatal(err)
	}
	fat.unmount()
	fat = mountFAT(t, image, pulled, "ro")
	p.card = pulled
	b := p.begin(t)
	clear := fat.kill()
	s := b.finish(t)
	clear()
	s.expect(t, exitPartly, "no longer there")
	s.unsafe(t)
	p.whole(t, p.job, p.also)
	if n := len(contents(t, p.job)); n == 0 || n >= run.Count {
		t.Errorf("%d files arrived", n)
	}
	fat = mountFAT(t, image, pulled, "ro")
	s = p.offload(t)
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	p.whole(t, p.job, p.also)
	if n := len(contents(t, p.job)); n != run.Count {
		t.Errorf("%d files arrived, want %d", n, run.Count)
	}
	fat.unmount()
}

// A file under the name that a card's file would get, with other content, at the
// job or only at the other destination: it stays, and both are there.
func TestOffloadExistingFile(t *testing.T) {
	for _, at := range []string{"job", "also"} {
		t.Run(at, func(t *testing.T) {
			p := newPlace(t, frames())
			watched(t, p.card)
			dest := map[string]string{"job": p.job, "also": p.also}[at]
			mine := []byte("somebody's file that happens to have a camera's name")
			testcard.Disk(t, dest)("A/LMR_0002.CR3", mine, testcard.Start())
			before, err := os.Stat(filepath.Join(dest, "A/LMR_0002.CR3"))
			if err != nil {
				t.Fatal(err)
			}
			s := p.offload(t)
			s.expect(t, exitDone)
			s.expectSafe(t, 1)
			f := s.file(t, "DCIM/100LMRFV/LMR_0002.CR3")
			if f.State != "copied" || f.To != "A2/LMR_0002.CR3" || len(f.Notes) == 0 {
				t.Errorf("%+v", f)
			}
			now, err := os.Stat(filepath.Join(dest, "A/LMR_0002.CR3"))
			if err != nil || !os.SameFile(before, now) || !before.ModTime().Equal(now.ModTime()) {
				t.Errorf("it was written over: %v", err)
			}
			for _, d := range []string{p.job, p.also} {
				have := contents(t, d)
				if have["A2/LMR_0002.CR3"] != sumOf(p.files["DCIM/100LMRFV/LMR_0002.CR3"]) || len(have) != len(p.files)+map[bool]int{true: 1}[d == dest] {
					t.Errorf("%s has %v", d, slices.Sorted(maps.Keys(have)))
				}
			}
		})
	}
}

// Links and devices are not followed, listed, and the card is not safe: somebody put
// them there, and what they stand for is not copied.
func TestOffloadLinksAndDevices(t *testing.T) {
	p := newPlace(t, frames())
	outside := filepath.Join(t.TempDir(), "outside.CR3")
	if err := os.WriteFile(outside, []byte("not on the card"), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, target := range map[string]string{"LMR_0101.CR3": outside, "LMR_0102.CR3": "LMR_0001.CR3", "LMR_0103.CR3": "nowhere", "loop": "."} {
		if err := os.Symlink(target, filepath.Join(p.card, "DCIM/100LMRFV", name)); err != nil {
			t.Fatal(err)
		}
	}
	// A careless reader waits for ever at a named pipe.
	if err := syscall.Mkfifo(filepath.Join(p.card, "DCIM/100LMRFV/LMR_0104.CR3"), 0o644); err != nil {
		t.Fatal(err)
	}
	s := p.offload(t)
	s.expect(t, exitPartly, "LMR_0101.CR3", "LMR_0104.CR3", "loop", "symbolic link")
	s.unsafe(t)
	want := map[string]bool{}
	for _, data := range p.files {
		want[sumOf(data)] = true
	}
	onceEach(t, p.job, want)
	onceEach(t, p.also, want)
	proven(t, p.job)
}

// Two offloads into one job: the second is refused and is told who is at it.
func TestOffloadTwice(t *testing.T) {
	run := frames()
	run.Count, run.Shot.Size = 24, 1<<20
	p := newPlace(t, run)
	watched(t, p.card)
	b := p.begin(t)
	b.signal(t, syscall.SIGSTOP)
	for _, second := range []place{
		{card: p.card, job: p.job, also: filepath.Join(t.TempDir(), "third")},
		{card: p.card, job: filepath.Join(t.TempDir(), "other job"), also: p.also},
	} {
		s := second.offload(t)
		s.expect(t, exitFailed, "another offload is writing to")
		s.unsafe(t)
	}
	b.signal(t, syscall.SIGCONT)
	s := b.finish(t)
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	p.arrived(t)
}

// Interrupted by the key, it goes on with the same command.
func TestOffloadInterruptedGoesOn(t *testing.T) {
	run := frames()
	run.Count, run.Shot.Size = 40, 1<<20
	p := newPlace(t, run)
	watched(t, p.card)
	b := p.begin(t)
	b.signal(t, os.Interrupt)
	s := b.finish(t)
	s.expect(t, exitInterrupted, "goes on from here")
	s.unsafe(t)
	p.whole(t, p.job, p.also)
	last := s.lines(t)
	if o := last[len(last)-1]; o.Event != "done" || !o.Interrupted {
		t.Errorf("the last line is %+v", o)
	}
	s = p.offload(t)
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	p.arrived(t)
}

// Folders that make no sense together are refused before anything is read.
func TestOffloadRefusals(t *testing.T) {
	p := newPlace(t, frames())
	watched(t, p.card)
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(p.card, link); err != nil {
		t.Skip(err)
	}
	for name, args := range map[string][]string{
		"job inside the card":      {p.card, "--job", filepath.Join(p.card, "job")},
		"job is the card":          {p.card, "--job", p.card},
		"job is the card, by link": {p.card, "--job", link},
		"copy inside the card":     {p.card, "--job", p.job, "--also", filepath.Join(p.card, "copy")},
		"copy inside the job":      {p.card, "--job", p.job, "--also", filepath.Join(p.job, "copy")},
		"copy is the job":          {p.card, "--job", p.job, "--also", p.job},
		"card inside the job":      {p.card, "--job", filepath.Dir(p.card)},
		"one card twice":           {p.card, link, "--job", p.job},
		"no card":                  {"--job", p.job},
		"a card that is not there": {filepath.Join(p.card, "nowhere"), "--job", p.job},
		"no job":                   {p.card},
	} {
		t.Run(name, func(t *testing.T) {
			s := offload(t, args...)
			if s.code != exitFailed && s.code != exitUsage {
				t.Errorf("exit code %d\n%s", s.code, s.err)
			}
			s.expectSafe(t, 0)
			if _, err := os.Stat(filepath.Join(p.job, "A")); err == nil {
				t.Error("something was copied")
			}
		})
	}
}

// The same card to two folders of one disk, and to two devices: opposite verdicts.
func TestOffloadSameDiskAndAnother(t *testing.T) {
	p := newPlace(t, frames())
	watched(t, p.card)
	far := p.also
	p.also = filepath.Join(t.TempDir(), "copy beside")
	s := p.offload(t)
	s.expect(t, exitDone, "one device")
	s.unsafe(t)
	p.arrived(t)
	p.also = far
	s = p.offload(t)
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	p.arrived(t)
	// One copy, which one has to ask for.
	alone := filepath.Join(t.TempDir(), "alone")
	s = offload(t, p.card, "--job", alone, "--json")
	s.expect(t, exitDone)
	s.unsafe(t)
	s = offload(t, p.card, "--job", alone, "--single-copy")
	s.expect(t, exitDone, "a single copy")
	s.expectSafe(t, 1)
}
