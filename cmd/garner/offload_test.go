package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"garner/cull/intake"
	"garner/cull/job"
)

func weddingFlags(t *testing.T) offloadFlags {
	return offloadFlags{cards: []string{"/media/anna/EOS_DIGITAL", "/media/anna/EOS_DIGITAL1"}, also: []string{filepath.Join(t.TempDir(), "copy")}, days: []string{"2026-06-13"}}
}

// lines finds the lines that contain a text.
func lines(text, part string) (found []string) {
	for line := range strings.Lines(text) {
		if strings.Contains(line, part) {
			found = append(found, strings.TrimSuffix(line, "\n"))
		}
	}
	return found
}

// TestOffloadReport: what a log has at the end of a run in which one card is whole
// and the other broke.
func TestOffloadReport(t *testing.T) {
	s := newStage(t, false)
	steps, r := wedding()
	err := s.play(weddingFlags(t), steps, r, nil)
	var partly *partlyError
	if !errors.As(err, &partly) || !strings.Contains(partly.text, "2 files") {
		t.Errorf("the command ended with %v", err)
	}
	text := s.err.String()
	for _, want := range []string{
		"garner: card 1 (EOS_DIGITAL, body A) is finished: 1620 copied, 10 there already\n",
		"garner: card 1: /media/anna/EOS_DIGITAL\n",
		"garner:   body A Varnholt V6 00417302, IMG_0001 to IMG_0812, 2026-06-13 10:02 to 23:41\n",
		"garner:   812 frames, 1630 files, 28.4 GB: 1620 copied, 10 there already; 6 min 10 s\n",
		"garner:     DCIM/100CANON/IMG_0001.CR3 -> A2/IMG_0001.CR3: another exposure has the name A/IMG_0001.CR3\n",
		"garner: card 2: EOS_DIGITAL (/media/anna/EOS_DIGITAL1)\n",
		"2026-06-13 11:00 to 2026-06-14 00:59\n",
		"garner:   days: 2026-06-06 20 files (left out), 2026-06-13 180 files\n",
		"garner:   SKIPPED: 1 file\ngarner:     DCIM/link: a symbolic link\n",
		"garner:   FAILED: read error at offset 1048576: 1 file\ngarner:     DCIM/100CANON/IMG_0007.CR3\n",
		"garner:   KEEP THIS CARD: EOS_DIGITAL (/media/anna/EOS_DIGITAL1), body B Varnholt V6 00417303, IMG_0001 to IMG_0200, ",
		"garner:     why: 1 file could not be read from the card\n",
		"--proven-in OTHERJOB\n",
		"garner: missing? body B: no frames between IMG_0080 and IMG_0121 (40)\n",
		"/copy (SSD): 812.0 GB free, 2 unfinished files of an earlier run removed\n",
		"garner: KEEP 1 of 2 cards: card 2 (EOS_DIGITAL, body B)\n",
		"garner: next: garner cull ",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("nothing says %q", want)
		}
	}
	safe := lines(text, "safe to format")
	if len(safe) != 1 || safe[0] != "garner:   safe to format: /media/anna/EOS_DIGITAL, body A Varnholt V6 00417302, IMG_0001 to IMG_0812, 2026-06-13 10:02 to 23:41, 812 frames, 1630 files, 28.4 GB" {
		t.Errorf("said to be safe: %q", safe)
	}
	if strings.ContainsAny(text, "\x1b\r\a") || s.out.Len() > 0 {
		t.Errorf("control codes without a terminal, or output: %q %q", text, s.out.String())
	}
	if t.Failed() {
		t.Log(text)
	}
}

// TestOffloadOnATerminal: the block stays in place, never wraps, is gone at the
// end, and the person is rung for each card.
func TestOffloadOnATerminal(t *testing.T) {
	for _, noColor := range []string{"", "1"} {
		t.Run("NO_COLOR="+noColor, func(t *testing.T) {
			s := newStage(t, true)
			s.env["NO_COLOR"] = noColor
			steps, r := wedding()
			_ = s.play(weddingFlags(t), steps, r, nil)
			if len(s.screens) != len(steps) {
				t.Fatalf("%d screens", len(s.screens))
			}
			for i, screen := range s.screens {
				if n := len(lines(screen, "all: ")); n != 1 {
					t.Errorf("after event %d the block stands there %d times:\n%s", i, n, screen)
				}
				if strings.Contains(screen, "safe to format") {
					t.Errorf("said while it runs:\n%s", screen)
				}
			}
			busy := s.screens[6]
			for _, want := range []string{"card 1 (EOS_DIGITAL, body A)     [###########.]  98 %  91.2 MB/s  5 s left\n", "/copy  syncing, writing  35.0 MB, 812.0 GB free"} {
				if !strings.Contains(busy, want) {
					t.Errorf("no %q in\n%s", want, busy)
				}
			}
			if text := s.grid.Text(); strings.Contains(text, "all: ") || !strings.Contains(text, "garner: next: ") {
				t.Errorf("at the end:\n%s", text)
			}
			if c := s.grid.Complaints(); len(c) > 0 {
				t.Errorf("the terminal complains: %v", c)
			}
			if n := strings.Count(s.err.String(), "\a"); n != 2 {
				t.Errorf("rang %d times", n)
			}
			colours := regexp.MustCompile("\x1b\\[[0-9;]*m").FindAllString(s.err.String(), -1)
			if (len(colours) > 0) != (noColor == "") {
				t.Errorf("colours: %q", colours)
			}
			for line := range strings.Lines(s.err.String()[strings.LastIndex(s.err.String(), "\x1b[J"):]) {
				if w := ansi.StringWidth(line); w > 79 && !strings.Contains(line, "garner offload ") && !strings.Contains(line, "next: ") {
					t.Errorf("%d columns: %q", w, line)
				}
			}
		})
	}
}

// TestOffloadBlockFitsTheScreen: many cards on a small screen, long names.
func TestOffloadBlockFitsTheScreen(t *testing.T) {
	var cards []*intake.Card
	for i := range 40 {
		c := &intake.Card{Number: i + 1, Root: "/media/anna/Karte mit einem sehr langen Namen Ärger", Bodies: []string{"A x", "B y", "C z"}, Files: 100, Bytes: 1e12, Ended: i%3 == 0}
		if i%3 == 1 {
			c.Began, c.DoneBytes, c.PerSecond, c.Left = c.Began.AddDate(2026, 0, 0), 5e11, 9.994e8, 3e12
			c.Activities = []string{"writing", "reading back"}
		}
		cards = append(cards, c)
	}
	destinations := []target{{intake.Destination{Root: strings.Repeat("/sehr lang", 30), Free: 812e9}, 999e9}, {intake.Destination{Root: "/short", Free: 3e12, Down: "no space left on it"}, 1e9}}
	for _, size := range [][2]int{{80, 24}, {60, 12}, {40, 6}, {20, 3}, {200, 60}} {
		got := liveLines(cards, destinations, size[0], size[1])
		if len(got) >= size[1] {
			t.Errorf("%v: %d lines", size, len(got))
		}
		if size[0] >= 80 {
			for _, line := range got {
				if ansi.StringWidth(line) >= size[0] {
					t.Errorf("%v: %d columns: %s", size, ansi.StringWidth(line), line)
				}
			}
		}
	}
}

// TestOffloadLogIsQuiet: without a terminal a card says at most one line a minute.
func TestOffloadLogIsQuiet(t *testing.T) {
	s := newStage(t, false)
	steps, r := wedding()
	for range 30 { // 300 s
		steps = append(steps[:2:2], append([]step{steps[1]}, steps[2:]...)...)
	}
	_ = s.play(weddingFlags(t), steps, r, nil)
	if n := len(lines(s.err.String(), "card 1 (EOS_DIGITAL, body A): ")); n < 4 || n > 7 {
		t.Errorf("%d lines:\n%s", n, s.err.String())
	}
}

func TestOffloadJSON(t *testing.T) {
	s := newStage(t, false)
	steps, r := wedding()
	f := weddingFlags(t)
	f.json = true
	_ = s.play(f, steps, r, nil)
	var events []string
	var last, broken map[string]any
	for line := range strings.Lines(s.out.String()) {
		last = nil
		if err := json.Unmarshal([]byte(line), &last); err != nil {
			t.Fatalf("%v: %s", err, line)
		}
		if last["v"] != 1.0 {
			t.Errorf("no version: %s", line)
		}
		events = append(events, fmt.Sprint(last["event"]))
		if last["raw"] != nil {
			broken = last
		}
	}
	if got, want := strings.Join(events, " "), "plan progress file file file progress progress card progress file card done"; got != want {
		t.Errorf("events %s\nwant   %s", got, want)
	}
	if broken["raw"] != "RENJTS8xMDBDQU5PTi9i6WLpLkNSMw==" || broken["to"] != "A/b_b_.CR3" || broken["sha256"] != nil {
		t.Errorf("the file whose name is not UTF-8: %v", broken)
	}
	cards := last["cards"].([]any)
	if len(cards) != 2 || cards[0].(map[string]any)["safe"] != true || cards[1].(map[string]any)["safe"] != false || last["failed"] != 2.0 || last["interrupted"] != false {
		t.Errorf("done: %v", last)
	}
}

// TestOffloadDryRun says probably, where names collide and what is there already,
// and nothing of formatting; nothing stays on the disk.
func TestOffloadDryRun(t *testing.T) {
	s := newStage(t, false)
	dir := t.TempDir()
	steps, r := wedding()
	c := r.Cards[0]
	var dry []step
	for i := range 40 {
		dry = append(dry, step{intake.Event{Kind: intake.FileDone, Card: c, All: r.Cards, File: &intake.File{
			Path: fmt.Sprintf("DCIM/100CANON/IMG_%04d.CR3", i), To: fmt.Sprintf("A/x%d.CR3", i), State: intake.Known, Probably: true}}, nil})
	}
	steps = append(dry, steps[2], step{intake.Event{Kind: intake.CardDone, Card: c, All: r.Cards}, func() { c.Ended, c.Safe, c.Copied, c.Known = true, true, 1580, 50 }})
	r.Cards = r.Cards[:1]
	r.Destinations[0].Needs = 28e9
	f := offloadFlags{cards: []string{"/media/anna/EOS_DIGITAL"}, job: filepath.Join(dir, "Job 0613"), dry: true}
	if err := s.play(f, steps, r, nil); err != nil {
		t.Fatal(err)
	}
	text := s.err.String()
	for _, want := range []string{"1580 to be copied, 50 probably there already", "probably there already: 40 files\n", "IMG_0011.CR3 -> A/x11.CR3\n", "and 28 more", "-> A2/IMG_0001.CR3",
		"28.0 GB to be written", "this was a dry run", "without --dry-run"} {
		if !strings.Contains(text, want) {
			t.Errorf("nothing says %q", want)
		}
	}
	if strings.Contains(text, "safe to format") || strings.Contains(text, "KEEP") || strings.Contains(text, "IMG_0012.CR3") || strings.Contains(text, "\a") {
		t.Error("says too much")
	}
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if t.Failed() {
		t.Log(text)
	}
}

// TestOffloadInterrupted: the report comes all the same, and the cards are kept.
func TestOffloadInterrupted(t *testing.T) {
	for _, as := range []string{"report", "error"} {
		t.Run(as, func(t *testing.T) {
			s := newStage(t, false)
			steps, r := wedding()
			f := weddingFlags(t)
			f.json, f.job = true, filepath.Join(t.TempDir(), "Job 0613")
			ctx, stop := context.WithCancel(context.Background())
			err := s.offload(ctx, f, func(_ context.Context, _ *job.Job, o intake.Options) (intake.Report, error) {
				for _, p := range steps[:5] {
					if p.change != nil {
						p.change()
					}
					o.Event(p.Event)
				}
				stop()
				if as == "error" {
					return r, context.Canceled
				}
				r.Interrupted = true
				return r, nil
			})
			if code := s.exit(ctx, err); code != exitInterrupted {
				t.Errorf("exit code %d: %v", code, err)
			}
			text := s.err.String()
			if n := len(lines(text, "KEEP THIS CARD: ")); n != 2 || strings.Contains(text, "safe to format") || !strings.Contains(text, "goes on from here") {
				t.Errorf("%s", text)
			}
			if !strings.Contains(s.out.String(), `"event":"done","dry_run":false,"interrupted":true`) {
				t.Error(s.out.String())
			}
		})
	}
}

func TestOffloadJobFolder(t *testing.T) {
	t.Run("made", func(t *testing.T) {
		s := newStage(t, false)
		f := offloadFlags{cards: []string{"/c"}, job: filepath.Join(t.TempDir(), "new")}
		if err := s.play(f, nil, intake.Report{}, nil); err != nil {
			t.Fatal(err)
		}
		if _, err := os.Stat(filepath.Join(f.job, ".garner")); err != nil {
			t.Error(err)
		}
	})
	t.Run("its parent is missing", func(t *testing.T) {
		s := newStage(t, false)
		f := offloadFlags{cards: []string{"/c"}, job: filepath.Join(t.TempDir(), "none", "new")}
		err := s.play(f, nil, intake.Report{}, nil)
		if code := s.exit(context.Background(), err); code != exitFailed || !strings.Contains(s.err.String(), "garner: hint: mkdir ") {
			t.Errorf("exit code %d: %s", code, s.err.String())
		}
	})
	t.Run("a file has the name", func(t *testing.T) {
		s := newStage(t, false)
		f := offloadFlags{cards: []string{"/c"}, job: filepath.Join(t.TempDir(), "new")}
		if err := os.WriteFile(f.job, nil, 0o644); err != nil {
			t.Fatal(err)
		}
		if err := s.play(f, nil, intake.Report{}, nil); err == nil {
			t.Error("no error")
		}
	})
}

// TestOffloadOneDisk: two folders of one disk are one copy, and the way out is said.
func TestOffloadOneDisk(t *testing.T) {
	s := newStage(t, false)
	steps, r := wedding()
	r.Cards, r.Devices = r.Cards[:1], 1
	last := &steps[7]
	was := last.change
	last.change = func() { was(); r.Cards[0].Safe, r.Cards[0].Why = false, []string{"its copies are on one device"} }
	if err := s.play(weddingFlags(t), steps[:8], r, nil); err != nil {
		t.Error(err)
	}
	for _, want := range []string{"KEEP THIS CARD", "why: its copies are on one device", "--also DIR", "all destinations are on one device"} {
		if !strings.Contains(s.err.String(), want) {
			t.Errorf("nothing says %q:\n%s", want, s.err.String())
		}
	}
	if strings.Contains(s.err.String(), "safe to format") {
		t.Error(s.err.String())
	}
}

// TestOffloadHostileNames: what stands on a card never reaches the terminal raw.
func TestOffloadHostileNames(t *testing.T) {
	s := newStage(t, false)
	evil := "x\x1b]0;gone\a\u202e"
	c := &intake.Card{Number: 1, Root: "/m/" + evil, Label: evil, Bodies: []string{"A " + evil}, First: evil, Last: evil + "2", Ended: true, Files: 4,
		Notes: []string{evil}, Litter: []string{evil}, Why: []string{evil}, Remarks: []string{evil}, Days: []intake.Day{{Day: evil, Files: 1}}}
	all := []*intake.Card{c}
	var steps []step
	for _, state := range []intake.FileState{intake.Copied, intake.Known, intake.Aside, intake.Failed, intake.Skipped} {
		steps = append(steps, step{intake.Event{Kind: intake.FileDone, Card: c, All: all, File: &intake.File{Path: evil + string(state), To: evil, Why: evil, Notes: []string{evil}, State: state}}, nil})
	}
	steps = append(steps, step{intake.Event{Kind: intake.CardDone, Card: c, All: all}, nil})
	f := offloadFlags{jobFlags: jobFlags{json: true}, cards: []string{evil}, job: filepath.Join(t.TempDir(), "j")}
	_ = s.play(f, steps, intake.Report{Cards: all, Alarms: []string{evil}, Warnings: []string{evil}, Destinations: []intake.Destination{{Root: evil, Label: evil, Down: evil}}}, nil)
	if text := s.err.String() + s.out.String(); strings.ContainsAny(text, "\x1b\a\u202e") {
		t.Errorf("%q", text)
	}
}
