package job_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

func sampleCard(dirs ...string) job.Card {
	return job.Card{Label: "EOS_DIGITAL", VolumeID: "1A2B-3C4D", Bodies: []string{"A Camera Six 0120"}, First: "IMG_0001", Last: "IMG_0420",
		From: begin, Until: begin.Add(9 * time.Hour), Frames: 420, Files: 845, Bytes: 12 << 30, Destinations: dirs}
}

// The same card put in again replaces its record; another one with the same
// label, names and counts does not.
func TestCards(t *testing.T) {
	j := sample(t, 2)
	also := t.TempDir()
	first := sampleCard(j.Root(), also)
	first.Why = []string{"DCIM/100CANON/IMG_0009.CR3 could not be read"}
	must(t, j.SaveCard(first))
	again := sampleCard(j.Root(), also)
	again.Safe = true
	must(t, j.SaveCard(again))
	other := sampleCard(j.Root(), also)
	other.From = begin.Add(time.Minute)
	must(t, j.SaveCard(other))
	cards, err := j.Cards()
	must(t, err)
	if len(cards) != 2 || cards[0].Key == cards[1].Key || !cards[0].At.Before(cards[1].At) {
		t.Fatalf("cards: %+v", cards)
	}
	if cards[0].Key == "" || cards[0].At.IsZero() {
		t.Errorf("without key or time: %+v", cards[0])
	}
	again.Key, again.At = cards[0].Key, cards[0].At
	same(t, "the card", again, cards[0])
	dirs, err := j.Also()
	must(t, err)
	same(t, "destinations", []string{also}, dirs)
}

func TestAlsoAndDamagedOutliveTheCatalogue(t *testing.T) {
	j := sample(t, 2)
	x, y, z := t.TempDir(), t.TempDir(), filepath.Join(t.TempDir(), "odd \xff\n\u202ename")
	must(t, j.SetAlso([]string{x, z, x, j.Root()}))
	must(t, j.SaveCard(sampleCard(j.Root(), y)))
	must(t, j.SetAlso([]string{z, y}))
	for range 2 {
		must(t, j.SetDamaged("A/IMG_0001.CR3"))
	}
	must(t, j.SetDamaged("A/\xfe.CR3"))
	_, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{"also", "no/absolute/path"}})
	must(t, err)
	entries, err := j.Entries()
	must(t, err)
	if len(entries) != 7 { // x, z, y, x none; two files; a line by hand
		t.Errorf("%d entries", len(entries))
	}
	check := func(j *job.Job) {
		t.Helper()
		dirs, err := j.Also()
		must(t, err)
		same(t, "destinations", []string{z, y}, dirs)
		damaged, err := j.Damaged()
		must(t, err)
		same(t, "damaged", map[string]bool{"A/IMG_0001.CR3": true, "A/\xfe.CR3": true}, damaged)
	}
	check(j)
	must(t, j.Close())
	must(t, os.Remove(catalogFile(j.Root())))
	lost := open(t, j.Root())
	check(lost)
	if cards, err := lost.Cards(); err != nil || len(cards) != 0 {
		t.Errorf("cards without a catalogue: %v, %v", cards, err)
	}
	readOnly, err := job.Open(j.Root(), job.Options{ReadOnly: true})
	must(t, err)
	check(readOnly)
	if readOnly.SaveCard(job.Card{}) == nil || readOnly.SetDamaged("x") == nil || readOnly.SetAlso(nil) == nil {
		t.Error("a job opened to be read was changed")
	}
}
