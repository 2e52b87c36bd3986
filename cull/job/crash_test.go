package job_test

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/testdata/testneed"
)

// The tests of this file run the test binary again as another program:
// GARNER_JOB_CHILD says as which, GARNER_JOB_DIR on which job.
func TestMain(m *testing.M) {
	switch os.Getenv("GARNER_JOB_CHILD") {
	case "":
		os.Exit(m.Run())
	case "decide":
		os.Exit(childDecides(os.Getenv("GARNER_JOB_DIR")))
	case "claim":
		os.Exit(childClaims(os.Getenv("GARNER_JOB_DIR")))
	}
}

// childDecides decides what it reads, line by line, and acknowledges each line
// with the entry when it is durable.
func childDecides(dir string) int {
	j, err := job.Open(dir, options())
	if err != nil {
		fmt.Println("open:", err)
		return 1
	}
	c, err := j.Claim()
	if err != nil {
		fmt.Println("claim:", err)
		return 1
	}
	s, err := j.Session()
	if err != nil {
		fmt.Println("session:", err)
		return 1
	}
	fmt.Println("ready")
	in := bufio.NewScanner(os.Stdin)
	for in.Scan() {
		e, err := s.Plan(action(in.Text()), begin, "child")
		if errors.Is(err, cull.ErrNothing) {
			fmt.Println("no")
			continue
		}
		if err == nil {
			var kept []cull.Entry
			if kept, err = j.Append(e); err == nil {
				e = kept[0]
				err = s.Commit(e)
			}
		}
		if err != nil {
			fmt.Println("error:", err)
			return 1
		}
		fmt.Println("ok", cull.FormatEntry(e))
	}
	if err := errors.Join(c.Release(), j.Close()); err != nil {
		return 1
	}
	return 0
}

// action makes something of a random number.
func action(line string) cull.Action {
	n, _ := strconv.Atoi(line)
	id := frameID(n % 24)
	answer := []cull.Answer{cull.Yes, cull.No, cull.Part, cull.Open}[n/24%4]
	switch n / 96 % 8 {
	case 0:
		return cull.Undo{}
	case 1:
		return cull.Redo{}
	case 2:
		return cull.DecideBurst{Pass: "keep", Frame: id, Answer: answer}
	case 3:
		return cull.Only{Pass: "keep", Frame: id}
	case 4:
		switch n / 24 % 4 {
		case 0:
			return cull.Merge{Pass: "keep", Frame: id}
		case 1:
			return cull.Join{Frame: id}
		case 2:
			return cull.Split{Frame: id}
		}
		return cull.NameScene{Frame: id, Name: fmt.Sprint("scene ", n%5)}
	}
	return cull.Decide{Pass: "keep", Frames: []cull.ID{id}, Answer: answer, Shown: n%2 == 0}
}

type child struct {
	cmd *exec.Cmd
	in  io.WriteCloser
	out *bufio.Scanner
}

func start(t *testing.T, as, dir string, wrap ...string) *child {
	t.Helper()
	exe, err := os.Executable()
	must(t, err)
	args := append(wrap, exe)
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Env = append(os.Environ(), "GARNER_JOB_CHILD="+as, "GARNER_JOB_DIR="+dir)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	must(t, err)
	out, err := cmd.StdoutPipe()
	must(t, err)
	must(t, cmd.Start())
	c := &child{cmd, in, bufio.NewScanner(out)}
	c.out.Buffer(nil, 2<<20)
	t.Cleanup(func() { c.cmd.Process.Kill(); c.cmd.Wait() })
	return c
}

func (c *child) read(t *testing.T) string {
	t.Helper()
	if !c.out.Scan() {
		t.Fatalf("the child ended: %v", c.out.Err())
	}
	return c.out.Text()
}

// rounds is how often the kill loop runs: GARNER_KILL_ROUNDS, else few enough
// for every test run.
func rounds(t *testing.T) int {
	if n, err := strconv.Atoi(os.Getenv("GARNER_KILL_ROUNDS")); err == nil {
		return n
	}
	if testing.Short() {
		return 5
	}
	return 20
}

// A program that decides is killed after a random acknowledgement, with more
// lines waiting in its input: every acknowledged entry is there, in its order,
// and catalogue and journal agree.
func TestKilled(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	dir := t.TempDir()
	j := open(t, dir)
	fill(t, j, 24)
	must(t, j.Close())
	var acked []string
	unacked, oneMore := 0, 0
	for round := range rounds(t) {
		c := start(t, "decide", dir)
		if line := c.read(t); line != "ready" {
			t.Fatalf("round %d: %s", round, line)
		}
		k := 1 + r.IntN(30)
		for range k + 40 { // so that the kill meets it at work
			fmt.Fprintln(c.in, r.IntN(96*8))
		}
		for range k {
			line := c.read(t)
			if strings.HasPrefix(line, "error") {
				t.Fatalf("round %d: %s", round, line)
			}
			if e, ok := strings.CutPrefix(line, "ok "); ok {
				acked = append(acked, e)
			}
		}
		must(t, c.cmd.Process.Kill())
		for c.out.Scan() { // acknowledged before the kill came
			if e, ok := strings.CutPrefix(c.out.Text(), "ok "); ok {
				acked = append(acked, e)
				oneMore++
			}
		}
		c.cmd.Wait()

		j := open(t, dir)
		entries, err := j.Entries()
		must(t, err)
		if len(entries) < len(acked) {
			t.Fatalf("round %d: %d entries, %d acknowledged", round, len(entries), len(acked))
		}
		for i, line := range acked {
			if got := cull.FormatEntry(entries[i]); got != line {
				t.Fatalf("round %d: entry %d is\n%s\nacknowledged was\n%s", round, i+1, got, line)
			}
		}
		// Durable, but killed before it could say so: it stands.
		unacked += len(entries) - len(acked)
		for _, e := range entries[len(acked):] {
			acked = append(acked, cull.FormatEntry(e))
		}
		sound(t, j)
		sameGroups(t, j, session(t, j))
		if t.Failed() {
			t.Fatalf("round %d", round)
		}
	}
	t.Logf("%d entries, %d of them kept but not acknowledged, %d acknowledged after the last that was waited for", len(acked), unacked, oneMore)
	if len(acked) == 0 {
		t.Fatal("nothing was decided")
	}
}

// While one program decides, others read, prepare and are told who has it.
func TestSideBySide(t *testing.T) {
	dir := t.TempDir()
	j := open(t, dir)
	fill(t, j, 24)
	c := start(t, "decide", dir)
	if line := c.read(t); line != "ready" {
		t.Fatal(line)
	}
	var owned *job.OwnedError
	if _, err := j.Claim(); !errors.As(err, &owned) {
		t.Fatalf("a second claim: %v", err)
	}
	if o := owned.Owner; o.PID != c.cmd.Process.Pid || o.Command != "decide" || !strings.Contains(owned.Error(), "garner decide (process "+strconv.Itoa(o.PID)) {
		t.Errorf("%v", owned)
	}
	if o, held := j.Owner(); !held || o.PID != c.cmd.Process.Pid {
		t.Errorf("%+v %v", o, held)
	}
	acked := 0
	for i := range 40 {
		fmt.Fprintln(c.in, 96*5+i%24+24*(i%2))
		if i%4 == 0 {
			must(t, j.SaveFrames([]cull.Frame{sampleFrame(100 + i)}))
			_, err := j.Append(job.Letter("k", "A"))
			must(t, err)
			acked++
		}
		if strings.HasPrefix(c.read(t), "ok") {
			acked++
		}
		counts, err := j.Counts()
		must(t, err)
		if counts.Entries != acked {
			t.Fatalf("%d entries seen, %d acknowledged", counts.Entries, acked)
		}
	}
	must(t, c.in.Close())
	must(t, c.cmd.Wait())
	sound(t, j)
	claim, err := j.Claim()
	must(t, err)
	must(t, claim.Release())
}

func childClaims(dir string) int {
	j, err := job.Open(dir, options())
	if err == nil {
		_, err = j.Claim()
	}
	if err != nil {
		fmt.Println("no", err)
		return 1
	}
	fmt.Println("mine")
	io.Copy(io.Discard, os.Stdin)
	return 0
}

// Many want it at once: one gets it. When that one is killed, the next does.
func TestOneOwner(t *testing.T) {
	dir := t.TempDir()
	j := open(t, dir)
	for round := range 3 {
		var children []*child
		for range 4 {
			children = append(children, start(t, "claim", dir))
		}
		var owner *child
		for _, c := range children {
			if c.read(t) == "mine" {
				if owner != nil {
					t.Fatal("two own the job")
				}
				owner = c
			}
		}
		if owner == nil {
			t.Fatalf("round %d: nobody owns the job", round)
		}
		must(t, owner.cmd.Process.Kill())
		owner.cmd.Wait()
	}
	// What the killed one left in the file stops nobody.
	if b, err := os.ReadFile(filepath.Join(dir, ".garner", "owner")); err != nil || !strings.Contains(string(b), "pid=") {
		t.Errorf("%q %v", b, err)
	}
	if o, held := j.Owner(); held {
		t.Errorf("held by %+v", o)
	}
	c, err := j.Claim()
	must(t, err)
	if _, err := j.Claim(); err == nil {
		t.Error("claimed twice in one program")
	}
	must(t, c.Release())
	if b, err := os.ReadFile(filepath.Join(dir, ".garner", "owner")); err != nil || len(b) != 0 {
		t.Errorf("after the release: %q %v", b, err)
	}
}

// Between a line that is read and its acknowledgement lies a sync.
func TestSyncBeforeAcknowledgement(t *testing.T) {
	strace := testneed.Tool(t, "strace")
	dir, log := t.TempDir(), filepath.Join(t.TempDir(), "strace.txt")
	j := open(t, dir)
	fill(t, j, 24)
	c := start(t, "decide", dir, strace, "-f", "-o", log, "-e", "trace=fdatasync,fsync,msync,write", "-s", "8")
	if !c.out.Scan() {
		t.Skip("strace can't trace here")
	}
	const n = 10
	for i := range n {
		fmt.Fprintln(c.in, 96*5+i)
		if line := c.read(t); !strings.HasPrefix(line, "ok") {
			t.Fatal(line)
		}
	}
	must(t, c.in.Close())
	must(t, c.cmd.Wait())
	b, err := os.ReadFile(log)
	must(t, err)
	acks, syncs := 0, 0
	for line := range strings.Lines(string(b)) {
		switch {
		case strings.Contains(line, "sync(") && !strings.Contains(line, "unfinished"), strings.Contains(line, "sync resumed"):
			syncs++
		case strings.Contains(line, `write(1, "ok`):
			acks++
			if syncs < 2 { // the pages, then the meta page that makes them valid
				t.Errorf("acknowledgement %d came after %d syncs", acks, syncs)
			}
			syncs = 0
		}
	}
	if acks != n {
		t.Errorf("%d of %d acknowledgements in the trace", acks, n)
	}
}
