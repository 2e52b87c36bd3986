//go:build unix

package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"garner/store"
	"garner/testdata/testcard"
	"garner/testdata/testneed"
)

// TestOffloadKilled kills an offload after random amounts of bytes, each time with
// fresh destinations, and lets the next one go on: in between nothing wrong stands
// under a final name, in the end everything is there, byte for byte, and what was
// good was not copied again. SIGKILL shows that the order of writing is right, not
// that the disk was synced; for that there is the power-loss test of cull/intake.
// GARNER_KILLS and GARNER_KILL_MB make it longer.
func TestOffloadKilled(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("/proc/PID/io is Linux")
	}
	diff := testneed.Tool(t, "diff")
	kills, megabytes := 8, 100
	if testing.Short() {
		kills, megabytes = 2, 20
	}
	kills, megabytes = number("GARNER_KILLS", kills), number("GARNER_KILL_MB", megabytes)
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 2))
	card := filepath.Join(t.TempDir(), "card")
	want := cardOf(t, card, megabytes, r)
	watched(t, card)

	// A whole run says how much there is to read and write.
	whole := newSitting(t, card)
	var most int64
	whole.run(t, func(moved int64) bool { most = max(most, moved); return false })
	whole.expect(t, exitDone)
	whole.complete(t, diff, card)
	t.Logf("seed %d: %d kills, %d files of %d MB, %d MB read and written in a whole run", seed, kills, len(want), megabytes, most>>20)
	if most < int64(megabytes)<<20 {
		t.Fatalf("only %d bytes were moved", most)
	}

	killed, early := 0, 0
	for round := range kills {
		o := newSitting(t, card)
		limits := []int64{r.Int64N(most)}
		if r.IntN(3) == 0 {
			limits = append(limits, r.Int64N(most)) // and the one that goes on is killed too
		}
		var had map[string]fs.FileInfo
		for _, limit := range limits {
			if !o.run(t, func(moved int64) bool { return moved >= limit }) {
				early++ // it had ended before
				continue
			}
			killed++
			if o.safeCards() > 0 {
				t.Fatalf("round %d: killed, and the card was called safe before:\n%s", round, o.err)
			}
			had = o.expectNothingWrong(t, want)
		}
		o.run(t, func(int64) bool { return false })
		o.expect(t, exitDone)
		o.expectSafe(t, 1)
		o.complete(t, diff, card)
		for p, before := range had {
			now, err := os.Stat(p)
			if err != nil || !os.SameFile(before, now) || !before.ModTime().Equal(now.ModTime()) {
				t.Errorf("round %d: %s was whole and was copied again (%v)", round, p, err)
			}
		}
		o.remove()
		if t.Failed() {
			t.Fatalf("round %d, limits %v", round, limits)
		}
	}
	t.Logf("%d kills, %d runs had ended before their limit", killed, early)
	if killed < kills/2 {
		t.Errorf("only %d of %d runs were killed in the middle", killed, kills)
	}
}

// cardOf fills a card with camera files of a few MB without holes, and clips. It
// returns the contents.
func cardOf(t *testing.T, card string, megabytes int, r *rand.Rand) map[string]bool {
	t.Helper()
	var runs []testcard.Run
	left := megabytes << 20
	for i := 0; left > 0; i++ {
		size := min(left, 1<<20+r.IntN(5<<20))
		left -= size
		runs = append(runs, testcard.Run{Folder: "DCIM/100LMRFV", First: i + 1, Count: 1,
			Shot: testcard.Shot{Counter: int64(5000 + i), Size: size, Seed: uint64(i)}})
	}
	disk := testcard.Disk(t, card)
	for _, run := range runs { // one at a time: they need not fit into memory
		run.Shot.At = testcard.Start().Add(time.Duration(run.First) * time.Minute)
		testcard.Card(t, disk, run)
	}
	for i := range 3 {
		disk(fmt.Sprintf("PRIVATE/LMRCLIP/C%04d.MP4", i+1), testcard.Noise(fmt.Sprint("clip", i), 3<<20+i), testcard.Start())
	}
	disk("DCIM/100LMRFV/LMR_0001.XMP", []byte("<x:xmpmeta xmlns:x='adobe:ns:meta/'/>\n"), testcard.Start())
	return values(contents(t, card))
}

// sitting is one pair of destinations, and the last garner that wrote to it.
type sitting struct {
	said
	card, job, also string
}

func newSitting(t *testing.T, card string) *sitting {
	t.Helper()
	dir, err := os.MkdirTemp(filepath.Dir(card), "to")
	if err != nil {
		t.Fatal(err)
	}
	return &sitting{card: card, job: filepath.Join(dir, "job"), also: filepath.Join(elsewhere(t), "copy")}
}

func (o *sitting) remove() {
	os.RemoveAll(filepath.Dir(o.job))
	os.RemoveAll(o.also)
}

// run starts an offload, and kills it as soon as stop says so of the bytes that it
// has read and written. It reports whether it was killed.
func (o *sitting) run(t *testing.T, stop func(moved int64) bool) (killed bool) {
	t.Helper()
	c := garner("offload", o.card, "--job", o.job, "--also", o.also)
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		_ = c.Wait()
		close(ended)
	}()
	for !killed {
		select {
		case <-ended:
			o.said = said{c.ProcessState.ExitCode(), out.String(), errs.String()}
			return false
		default:
		}
		if killed = stop(moved(c)); killed {
			_ = c.Process.Kill()
		}
		runtime.Gosched()
	}
	<-ended
	o.said = said{c.ProcessState.ExitCode(), out.String(), errs.String()}
	return o.code == -1 // else it had ended meanwhile
}

// moved is what a process has read and written, in bytes (proc(5), /proc/pid/io).
func moved(c *exec.Cmd) int64 {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/io", c.Process.Pid))
	if err != nil {
		return 0
	}
	var n int64
	for line := range strings.Lines(string(data)) {
		key, value, _ := strings.Cut(strings.TrimSpace(line), ": ")
		if key == "rchar" || key == "wchar" {
			v, _ := strconv.ParseInt(value, 10, 64)
			n += v
		}
	}
	return n
}

// expectNothingWrong looks at what a killed offload left: under a final name there
// is the whole content of one of the card's files. It returns these files.
func (o *sitting) expectNothingWrong(t *testing.T, want map[string]bool) map[string]fs.FileInfo {
	t.Helper()
	whole := map[string]fs.FileInfo{}
	for _, dest := range []string{o.job, o.also} {
		if _, err := os.Stat(dest); os.IsNotExist(err) {
			continue
		}
		for p, sum := range contents(t, dest) {
			full := filepath.Join(dest, filepath.FromSlash(p))
			if store.IsPartial(filepath.Base(full)) {
				continue
			}
			if !want[sum] {
				t.Fatalf("after a kill %s holds what is on no card", full)
			}
			info, err := os.Stat(full)
			if err != nil {
				t.Fatal(err)
			}
			whole[full] = info
		}
	}
	return whole
}

// complete compares the card with both destinations, with diff -r of GNU diffutils
// and with sha256sum.
func (o *sitting) complete(t *testing.T, diff, card string) {
	t.Helper()
	for _, dest := range []string{o.job, o.also} {
		for from, to := range map[string]string{"DCIM/100LMRFV": "A", "PRIVATE": "clips/A/PRIVATE"} {
			if out, err := exec.Command(diff, "-r", filepath.Join(card, from), filepath.Join(dest, to)).CombinedOutput(); err != nil {
				t.Fatalf("diff -r: %v\n%s", err, out)
			}
		}
		proven(t, dest)
		for p := range contents(t, dest) {
			if store.IsPartial(filepath.Base(p)) {
				t.Fatalf("a partial is left: %s", p)
			}
		}
	}
}
