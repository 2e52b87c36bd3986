package main

import (
	"context"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull/demo"
)

// TestOffloadDemoCards takes the invented wedding in, and holds what arrived
// against what the cards are known to hold.
func TestOffloadDemoCards(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a wedding")
	}
	cards := filepath.Join(t.TempDir(), "cards")
	truth, err := demo.MakeCards(context.Background(), cards, demo.Options{Frames: demo.MinCardsFrames})
	if err != nil {
		t.Fatal(err)
	}
	var roots []string
	for _, c := range truth.Cards {
		roots = append(roots, filepath.Join(cards, c.Dir))
	}
	watched(t, roots...)

	all := map[string]bool{}
	for _, f := range truth.Files {
		all[f.Sum] = true
	}
	job, also := filepath.Join(t.TempDir(), "job"), filepath.Join(elsewhere(t), "copy")
	args := append(roots, "--job", job, "--also", also)

	s := offload(t, args...)
	s.expect(t, exitDone)
	s.expectSafe(t, len(roots))
	for _, d := range []string{job, also} {
		onceEach(t, d, all)
		proven(t, d)
	}
	whereTheyAre(t, job, truth)
	inWords(t, s.err, truth)

	t.Run("again", func(t *testing.T) {
		was, at := contents(t, job), times(t, job)
		s := offload(t, args...)
		s.expect(t, exitDone)
		s.expectSafe(t, len(roots))
		onceEach(t, job, all)
		onceEach(t, also, all)
		for p, sum := range contents(t, job) {
			if was[p] != sum {
				t.Errorf("%s was written", p)
			}
		}
		for p, mod := range times(t, job) {
			if at[p] != mod {
				t.Errorf("%s was touched", p)
			}
		}
	})

	t.Run("it can be prepared", func(t *testing.T) {
		out := outputOf(t, "prepare", job, "--json")
		if n := strings.Count(out, `"frame":`); n != truth.Frames { // the damaged one belongs to its twin's
			t.Errorf("%d frames, want %d", n, truth.Frames)
		}
		outputOf(t, "verify", job)
	})
	t.Run("one day", func(t *testing.T) { dayOfDemo(t, cards, truth) })
}

// TestDemoCards makes the cards by the command, which says what to do with them.
func TestDemoCards(t *testing.T) {
	cards := filepath.Join(t.TempDir(), "my cards")
	for _, args := range [][]string{{"--frames", "3"}, {"job too"}} {
		s := ended(t, garner(append([]string{"demo", "--cards", cards}, args...)...))
		if s.code == exitDone {
			t.Errorf("%q: %s", args, s.err)
		}
		if _, err := os.Stat(cards); err == nil {
			t.Fatalf("%q left a folder", args)
		}
	}
	if testing.Short() {
		return
	}
	ended(t, garner("demo", "--cards", cards, "--frames", "16")).expect(t, exitDone,
		"on 4 cards", "card-3: body B, slot 1", "garner offload \""+cards+"/card-1\" ", "--also", "--day 2026-09-12")
	s := ended(t, garner("demo", "--cards", cards, "--frames", "16"))
	s.expect(t, exitFailed, "not empty")
	if n := len(contents(t, cards)); n < 40 {
		t.Errorf("%d files are left", n)
	}
}

// dayOfDemo takes the day of the wedding alone.
func dayOfDemo(t *testing.T, cards string, truth demo.CardsSummary) {
	first := filepath.Join(cards, truth.Cards[0].Dir)
	today, before := map[string]bool{}, map[string]bool{}
	for _, f := range truth.Files {
		if f.Card == 0 && f.Day == truth.Today {
			today[f.Sum] = true
		} else if f.Card == 0 {
			before[f.Sum] = true
		}
	}
	job, also := filepath.Join(t.TempDir(), "job"), filepath.Join(elsewhere(t), "copy")
	s := offload(t, first, "--job", job, "--also", also, "--day", truth.Today)
	s.expect(t, exitDone, truth.Before)
	s.expectSafe(t, 0) // last week's are nowhere yet, as far as anybody knows
	onceEach(t, job, today)
	onceEach(t, also, today)

	// Once another job has them, on two devices too, nothing is lost by formatting.
	old, oldAlso := filepath.Join(t.TempDir(), "old"), filepath.Join(elsewhere(t), "old copy")
	s = offload(t, first, "--job", old, "--also", oldAlso, "--day", truth.Before)
	s.expect(t, exitDone)
	s.expectSafe(t, 0)
	onceEach(t, old, before)
	s = offload(t, first, "--job", job, "--also", also, "--day", truth.Today, "--proven-in", old, "--proven-in", oldAlso)
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	onceEach(t, job, today)
}

// whereTheyAre holds the places in the job against the rules: a body's letter,
// rounds for other exposures, clips apart, the damaged twin aside.
func whereTheyAre(t *testing.T, job string, truth demo.CardsSummary) {
	t.Helper()
	at := map[string]string{}
	for p, sum := range contents(t, job) {
		at[sum] = p
	}
	stems := map[string]map[string]bool{} // folder and name → exposures
	for _, f := range truth.Files {
		p := at[f.Sum]
		top, _, _ := strings.Cut(p, "/")
		letter := strings.TrimRight(top, "0123456789")
		switch {
		case f.Damaged:
			if top != "aside" {
				t.Errorf("the damaged %s is at %s", f.Path, p)
			}
			continue
		case !strings.HasPrefix(f.Path, "DCIM/"):
			if !strings.HasPrefix(p, "clips/"+f.Body) || !strings.HasSuffix(p, "/"+f.Path) {
				t.Errorf("%s of body %s is at %s", f.Path, f.Body, p)
			}
			continue
		case letter != f.Body || path.Base(p) != path.Base(f.Path):
			t.Errorf("%s of body %s is at %s", f.Path, f.Body, p)
		}
		if f.Exposure == "" {
			continue
		}
		name := strings.TrimSuffix(p, path.Ext(p))
		if stems[name] == nil {
			stems[name] = map[string]bool{}
		}
		stems[name][f.Exposure] = true
	}
	exposures := 0
	for name, of := range stems {
		exposures++
		if len(of) != 1 {
			t.Errorf("%s is %d exposures", name, len(of))
		}
	}
	if exposures != truth.Frames {
		t.Errorf("the job has %d names for %d exposures: raw and JPEG of one are apart", exposures, truth.Frames)
	}
	for _, p := range []string{"A2/VRNH0001"} { // today's, last week's came first
		if found, _ := filepath.Glob(filepath.Join(job, p+".*")); len(found) == 0 {
			t.Errorf("no %s", p)
		}
	}
	if _, err := os.Stat(filepath.Join(job, "B2")); err == nil {
		t.Error("body B has no name twice, and yet a second round")
	}
}

// inWords holds what a person is told.
func inWords(t *testing.T, text string, truth demo.CardsSummary) {
	t.Helper()
	missing := path.Base(truth.Missing.Path)
	for what, words := range map[string][]string{
		"the damaged file":        {path.Base(truth.Damaged.Path), "damaged", "aside"},
		"the frame slot 2 lacks":  {strings.TrimSuffix(missing, path.Ext(missing)), "lacks 1 frame"},
		"last week's frames":      {truth.Before, truth.Today},
		"another exposure's name": {"another exposure", "A2"},
		"litter":                  {".DS_Store"},
		"bodies":                  {"00417302", "00419866"},
		"what was there already":  {"already"},
	} {
		for _, w := range words {
			if !strings.Contains(text, w) {
				t.Errorf("%s: %q is not said", what, w)
			}
		}
	}
	if t.Failed() {
		t.Log(text)
	}
}
