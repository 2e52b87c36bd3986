package main

import (
	"bytes"
	"context"
	"io"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"garner/cull/intake"
	"garner/cull/job"
	"garner/testdata/testterm"
)

// stage is a desk whose streams can be read and whose clock is set, and an engine
// that plays what it is told to.
type stage struct {
	desk
	t        *testing.T
	err, out bytes.Buffer
	grid     *testterm.Grid // what stands on the terminal; nil = no terminal
	clock    time.Time
	env      map[string]string
	screens  []string // what stood on the terminal after each event
}

func newStage(t *testing.T, terminal bool) *stage {
	s := &stage{t: t, clock: time.Date(2026, 6, 14, 2, 0, 0, 0, time.UTC), env: map[string]string{"USER": "anna"}}
	var err io.Writer = &s.err
	if terminal {
		s.grid = testterm.New(80, 24)
		err = io.MultiWriter(&s.err, lineFeeds{s.grid})
	}
	s.desk = desk{in: strings.NewReader(""), out: &s.out, err: err, now: func() time.Time { return s.clock },
		getenv: func(k string) string { return s.env[k] }, errTTY: terminal, mu: new(sync.Mutex), progress: new(bool)}
	return s
}

// lineFeeds is what the terminal driver does with the end of a line (termios(3), ONLCR).
type lineFeeds struct{ w io.Writer }

func (l lineFeeds) Write(b []byte) (int, error) {
	_, err := l.w.Write(bytes.ReplaceAll(b, []byte("\n"), []byte("\r\n")))
	return len(b), err
}

// play runs offload with an engine that sends the events and returns the report.
func (s *stage) play(f offloadFlags, steps []step, r intake.Report, failed error) error {
	s.t.Helper()
	if f.job == "" {
		f.job = filepath.Join(s.t.TempDir(), "Job 0613")
	}
	return s.offload(context.Background(), f, func(_ context.Context, _ *job.Job, o intake.Options) (intake.Report, error) {
		for _, p := range steps {
			s.clock = s.clock.Add(10 * time.Second)
			if p.change != nil {
				p.change()
			}
			p.Destinations = r.Destinations
			o.Event(p.Event)
			if s.grid != nil {
				s.screens = append(s.screens, s.grid.Text())
			}
		}
		return r, failed
	})
}

// step is an event and what changes on the cards before it is sent.
type step struct {
	intake.Event
	change func()
}

// wedding is a run of two cards: one that is whole, one that broke.
func wedding() ([]step, intake.Report) {
	at := func(h, m int) time.Time { return time.Date(2026, 6, 13, h, m, 0, 0, time.UTC) }
	good := &intake.Card{Number: 1, Root: "/media/anna/EOS_DIGITAL", Label: "EOS_DIGITAL", DCIM: true, Bodies: []string{"A Varnholt V6 00417302"},
		First: "IMG_0001", Last: "IMG_0812", From: at(10, 2), Until: at(23, 41), Frames: 812, Files: 1630, Bytes: 28_400_000_000,
		Days: []intake.Day{{Day: "2026-06-13", Files: 1630, Taken: true}}, Litter: []string{".Trashes/x", ".DS_Store"}}
	poor := &intake.Card{Number: 2, Root: "/media/anna/EOS_DIGITAL1", Label: "EOS_DIGITAL", DCIM: true, Bodies: []string{"B Varnholt V6 00417303"},
		First: "IMG_0001", Last: "IMG_0200", From: at(11, 0), Until: at(23, 59).Add(time.Hour), Frames: 200, Files: 200, Bytes: 7_000_000_000,
		Days: []intake.Day{{Day: "2026-06-06", Files: 20}, {Day: "2026-06-13", Files: 180, Taken: true}}}
	all := []*intake.Card{good, poor}
	file := func(c *intake.Card, f intake.File) step {
		return step{intake.Event{Kind: intake.FileDone, Card: c, All: all, File: &f}, nil}
	}
	far := func(c *intake.Card, files int, bytes int64, doing ...string) step {
		return step{intake.Event{Kind: intake.Progress, Card: c, All: all}, func() {
			c.Began, c.DoneFiles, c.DoneBytes, c.PerSecond, c.Activities = at(23, 0), files, bytes, 91.2e6, doing
			c.Left = time.Duration(float64(c.Bytes-bytes) / c.PerSecond * float64(time.Second))
		}}
	}
	steps := []step{
		{intake.Event{Kind: intake.Planned, All: all}, nil},
		far(good, 100, 3_500_000_000, "writing", "reading back"),
		file(good, intake.File{Path: "DCIM/100CANON/IMG_0001.CR3", To: "A2/IMG_0001.CR3", Size: 35_000_000, Sum: strings.Repeat("ab", 32), State: intake.Copied, Proven: 2,
			Notes: []string{"another exposure has the name A/IMG_0001.CR3"}, Places: []intake.Place{{State: "copied", FromMedium: true}, {State: "copied", FromMedium: true}}}),
		file(good, intake.File{Path: "DCIM/100CANON/b\xe9b\xe9.CR3", To: "A/b_b_.CR3", Size: 1, State: intake.Copied}),
		file(poor, intake.File{Path: "DCIM/100CANON/IMG_0007.CR3", To: "A/IMG_0007.CR3", State: intake.Failed, Why: "read error at offset 1048576"}),
		far(poor, 80, 2_800_000_000, "syncing", "writing"),
		far(good, 1600, 27_900_000_000, "writing", "syncing"),
		{intake.Event{Kind: intake.CardDone, Card: good, All: all}, func() {
			good.Ended, good.Copied, good.Known, good.Took, good.Safe = true, 1620, 10, 370*time.Second, true
		}},
		far(poor, 150, 6_000_000_000, "writing", ""),
		{intake.Event{Kind: intake.CardDone, Card: poor, All: all}, func() {
			poor.Ended, poor.Copied, poor.LeftOut, poor.Took = true, 178, 20, 90*time.Second
			poor.Failed = []intake.File{{Path: "DCIM/100CANON/IMG_0007.CR3", State: intake.Failed, Why: "read error at offset 1048576"},
				{Path: "DCIM/link", State: intake.Skipped, Why: "a symbolic link"}}
			poor.Why = []string{"1 file could not be read from the card", "20 files of another day were left out and are not proven in another job"}
		}},
	}
	r := intake.Report{Cards: all, Devices: 2, Took: 7 * time.Minute, Alarms: []string{"body B: no frames between IMG_0080 and IMG_0121 (40)"}, Destinations: []intake.Destination{
		{Root: "/jobs/Job 0613", Disk: "sda", Free: 410e9}, {Root: "/media/anna/SSD/Job 0613", Label: "SSD", Disk: "sdb", Free: 812e9, Swept: 2}}}
	return steps, r
}
