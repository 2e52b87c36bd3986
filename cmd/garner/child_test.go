package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// asProgram makes this test binary behave as the program garner.
const asProgram = "GARNER_TEST_AS_PROGRAM=1"

func garner(args ...string) *exec.Cmd {
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), asProgram)
	return c
}

// outputOf runs garner to its end; the exit code must be 0.
func outputOf(t *testing.T, args ...string) string {
	t.Helper()
	c := garner(args...)
	var errs bytes.Buffer
	c.Stderr = &errs
	out, err := c.Output()
	if err != nil {
		t.Fatalf("garner %v: %v\n%s", args, err, errs.String())
	}
	return string(out)
}

// start runs a program that is spoken to while it runs.
func start(t *testing.T, c *exec.Cmd) (in io.WriteCloser, out io.Reader) {
	t.Helper()
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err = c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	return in, out
}

// smallJob is a prepared job of n frames, one every minute.
func smallJob(t *testing.T, n int) (dir string, names []string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "job")
	if err := os.MkdirAll(filepath.Join(dir, "A"), 0o755); err != nil {
		t.Fatal(err)
	}
	for i := range n {
		name := fmt.Sprintf("A/LMR_%04d", i+1)
		data, err := cameraFile(".DNG", map[string]string{"serial": "1001", "shade": fmt.Sprint(i), "at": fmt.Sprintf("2026-06-13T%02d:%02d:05.10", 10+i/60, i%60)})
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+".DNG"), data, 0o644); err != nil {
			t.Fatal(err)
		}
		names = append(names, name)
	}
	outputOf(t, "prepare", dir)
	return dir, names
}

// standing reads the answers of the pass keep as another process dumps them.
func standing(t *testing.T, dir string, names []string) map[string]string {
	t.Helper()
	ids := map[string]string{}
	for _, m := range regexp.MustCompile(`"id":"([0-9a-f]+)","frame":"([^"]+)"`).FindAllStringSubmatch(outputOf(t, "prepare", dir, "--json"), -1) {
		ids[m[1]] = m[2]
	}
	if len(ids) != len(names) {
		t.Fatalf("%d frames, want %d", len(ids), len(names))
	}
	got := map[string]string{}
	for _, m := range regexp.MustCompile(`(?m)^(keep|drop) #([0-9a-f]+) `).FindAllStringSubmatch(outputOf(t, "decide", dir, "--dump"), -1) {
		got[ids[m[2]]] = m[1]
	}
	return got
}

// TestKilledWhileDeciding kills a deciding garner after a random acknowledged
// line, again and again: whatever was answered with ok is there, whatever was
// not may be. SIGKILL shows that the order of writing is right, not that the
// disk was synced; for that there are the strace test and the crash-clone tests
// of store.
func TestKilledWhileDeciding(t *testing.T) {
	rounds := number("GARNER_KILL_ROUNDS", 50)
	if testing.Short() {
		rounds = 3
	}
	seed := rand.Uint64()
	t.Logf("seed %d, %d rounds", seed, rounds)
	r := rand.New(rand.NewPCG(seed, 1))
	dir, names := smallJob(t, 40)
	want := map[string]string{}
	for round := range rounds {
		doubt := killAfter(t, r, dir, names, 1+r.IntN(12), want)
		got := standing(t, dir, names)
		for _, n := range names {
			if got[n] == want[n] {
				continue
			}
			if n == doubt.name && got[n] == doubt.answer {
				want[n] = got[n] // sent, not answered: it may have been kept
				continue
			}
			t.Fatalf("round %d: %s is %q, was acknowledged as %q", round, n, got[n], want[n])
		}
	}
	outputOf(t, "verify", dir)
}

// sent is a line that was written and not answered before the kill.
type sent struct{ name, answer string }

func killAfter(t *testing.T, r *rand.Rand, dir string, names []string, k int, want map[string]string) sent {
	t.Helper()
	c := garner("decide", dir, "--who", "anna")
	in, out := start(t, c)
	answers := bufio.NewScanner(out)
	for range k {
		s := sent{names[r.IntN(len(names))], []string{"keep", "drop"}[r.IntN(2)]}
		fmt.Fprintf(in, "%s %s\n", s.answer, s.name)
		if !answers.Scan() {
			t.Fatal("no answer")
		}
		if a := answers.Text(); strings.HasPrefix(a, "ok ") {
			want[s.name] = s.answer
		} else if !strings.Contains(a, "nothing to do") {
			t.Fatal(a)
		}
	}
	last := sent{names[r.IntN(len(names))], []string{"keep", "drop"}[r.IntN(2)]}
	fmt.Fprintf(in, "%s %s\n", last.answer, last.name)
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	io.Copy(io.Discard, out)
	c.Wait()
	return last
}

// TestSyncBeforeOK watches the system calls: between a line and its ok there is
// a sync of the catalogue.
func TestSyncBeforeOK(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("strace is a program of Linux")
	}
	strace := testneed.Tool(t, "strace")
	dir, names := smallJob(t, 12)
	trace := filepath.Join(t.TempDir(), "trace")
	c := exec.Command(strace, "-f", "-e", "trace=write,fsync,fdatasync", "-s", "16", "-o", trace, os.Args[0], "decide", dir)
	c.Env = append(os.Environ(), asProgram)
	in, out := start(t, c)
	answers := bufio.NewScanner(out)
	for _, n := range names {
		fmt.Fprintf(in, "keep %s\n", n)
		if !answers.Scan() || !strings.HasPrefix(answers.Text(), "ok ") {
			t.Fatalf("answer %q", answers.Text())
		}
	}
	in.Close()
	if err := c.Wait(); err != nil {
		t.Fatal(err)
	}
	calls, err := os.ReadFile(trace)
	if err != nil {
		t.Fatal(err)
	}
	syncs, oks := 0, 0
	for line := range strings.Lines(string(calls)) {
		switch {
		case strings.Contains(line, "sync(") && strings.Contains(line, "= 0"), strings.Contains(line, "sync resumed>") && strings.Contains(line, "= 0"):
			syncs++
		case strings.Contains(line, `write(1, "ok `):
			if oks++; syncs == 0 {
				t.Fatalf("ok %d without a sync since the one before:\n%s", oks, line)
			}
			syncs = 0
		}
	}
	if oks != len(names) {
		t.Fatalf("%d oks in the trace, want %d", oks, len(names))
	}
}

// TestStatusAndPrepareBesideDecide: a decide that stays open hinders nobody.
func TestStatusAndPrepareBesideDecide(t *testing.T) {
	dir, names := smallJob(t, 6)
	c := garner("decide", dir)
	in, out := start(t, c)
	answers := bufio.NewScanner(out)
	say := func(line, want string) {
		t.Helper()
		fmt.Fprintln(in, line)
		if !answers.Scan() || !strings.HasPrefix(answers.Text(), want) {
			t.Fatalf("%s: %q", line, answers.Text())
		}
	}
	say("keep "+names[0], "ok ")
	if s := outputOf(t, "status", dir, "--json"); !strings.Contains(s, `"yes":1,`) {
		t.Errorf("status beside decide: %s", s)
	}
	data, err := cameraFile(".DNG", map[string]string{"serial": "2002", "shade": "99", "at": "2026-06-13T16:00:05.10"})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "A", "LMR_0700.DNG"), data, 0o644); err != nil {
		t.Fatal(err)
	}
	outputOf(t, "prepare", dir)
	say("drop A/LMR_0700", "ok ") // found since decide began, with a letter's entry in between
	say("undo", "ok ")
	say("keep "+names[1], "ok ")
	second := garner("decide", dir)
	second.Stdin = strings.NewReader("keep " + names[2] + "\n")
	if msg, err := second.CombinedOutput(); err == nil || !strings.Contains(string(msg), "being decided on by garner decide") {
		t.Errorf("a second decide: %v\n%s", err, msg)
	}
	in.Close()
	if err := c.Wait(); err != nil {
		t.Fatal(err)
	}
	outputOf(t, "verify", dir)
}

// number reads a whole number from the environment.
func number(name string, instead int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil && n > 0 {
		return n
	}
	return instead
}
