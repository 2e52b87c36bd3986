package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"garner/cull/intake"
	"garner/cull/job"
)

// TestOffloadWatch: a folder with DCIM is a card and has its report at once; files
// that land are copied without a word about formatting; a card that cannot be
// taken does not end the watch, an interrupt does.
func TestOffloadWatch(t *testing.T) {
	s := newStage(t, false)
	drop, dir := t.TempDir(), t.TempDir()
	write := func(name string) {
		path := filepath.Join(drop, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(name), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var clock atomic.Int64
	taken := make(chan string)
	ticks := make(chan time.Time)
	o := &offloading{desk: s.desk, f: offloadFlags{job: filepath.Join(dir, "job"), watch: []string{drop}}, wanted: filepath.Join(dir, "job"), ticks: ticks}
	o.now = func() time.Time { return time.Unix(clock.Load(), 0) }
	o.take = func(_ context.Context, _ *job.Job, op intake.Options) (intake.Report, error) {
		c := &intake.Card{Number: 1, Root: op.Sources[0], Files: 1, Bytes: 1, Frames: 1, First: "IMG_0001", Ended: true, Safe: true, Copied: 1}
		op.Event(intake.Event{Kind: intake.CardDone, Card: c, All: []*intake.Card{c}})
		taken <- strings.Join(op.Sources, " ")
		if strings.HasSuffix(c.Root, "broken") {
			return intake.Report{}, os.ErrPermission
		}
		return intake.Report{Cards: []*intake.Card{c}, Devices: 2}, nil
	}
	done, err := o.open()
	if err != nil {
		t.Fatal(err)
	}
	defer done()
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error)
	go func() { ended <- o.watch(ctx) }()
	// look lets time go by and returns when the watch has looked.
	look := func(seconds int64) {
		clock.Add(seconds)
		ticks <- time.Time{}
		ticks <- time.Time{}
	}
	// lands writes a file, lets it rest, and waits for what is taken.
	lands := func(file, want string) {
		t.Helper()
		write(file)
		look(1)
		clock.Add(3)
		ticks <- time.Time{}
		if got := <-taken; got != want {
			t.Errorf("took %q, want %q", got, want)
		}
	}
	look(1)
	lands("IMG_0009.CR3", drop)
	lands("broken/DCIM/100CANON/IMG_0001.CR3", filepath.Join(drop, "broken"))
	lands("card/DCIM/100CANON/IMG_0001.CR3", filepath.Join(drop, "card"))
	stop()
	if err := <-ended; err != nil || !o.stopped {
		t.Errorf("ended with %v", err)
	}
	text := s.err.String()
	for _, want := range []string{"waiting for cards and files in " + drop, "from " + drop + ": 1 copied\n", "garner: error: permission denied\n"} {
		if !strings.Contains(text, want) {
			t.Errorf("nothing says %q", want)
		}
	}
	safe := lines(text, "safe to format")
	if len(safe) != 2 || !strings.Contains(safe[1], filepath.Join(drop, "card")) {
		t.Errorf("said to be safe: %q", safe)
	}
	if t.Failed() {
		t.Log(text)
	}
}
