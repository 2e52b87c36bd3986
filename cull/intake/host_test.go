package intake

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/store/volume"
)

// realCard writes frames as a card into a folder.
func realCard(t *testing.T, serial string, first, last int) string {
	t.Helper()
	root := t.TempDir()
	dir := filepath.Join(root, "DCIM", "100LUMOR")
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	for i := first; i <= last; i++ {
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("LUM_%04d.DNG", i)), largeFile(t, serial, i), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return root
}

func openJob(t *testing.T) *job.Job {
	t.Helper()
	j, err := job.Open(t.TempDir(), job.Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	return j
}

// eachItsDisk gives every root a disk of its own.
func eachItsDisk(p string) (volume.Volume, error) {
	v, err := volume.Of(p)
	v.Disk, v.Source, v.Root = p, p, p
	return v, err
}

// What a run leaves in the job: the card and its verdict, the other destination with
// manifest and journal, letters, alarms.
func TestRunKeepsRecords(t *testing.T) {
	j := openJob(t)
	also := filepath.Join(t.TempDir(), "copy")
	a, b := realCard(t, "1001", 1, 20), realCard(t, "1002", 1, 3)
	late := realCard(t, "1001", 61, 64)
	o := Options{Sources: []string{a, b, late}, Also: []string{also}, VolumeOf: eachItsDisk}
	rep, err := Run(context.Background(), j, o)
	if err != nil || rep.Bad() > 0 || len(rep.Warnings) > 0 {
		t.Fatal(err, rep.Warnings)
	}
	cards, err := j.Cards()
	if err != nil || len(cards) != 3 {
		t.Fatalf("%d cards are recorded, %v", len(cards), err)
	}
	if c := cards[0]; !c.Safe || c.Frames != 20 || c.Files != 20 || c.First != "LUM_0001" || c.Last != "LUM_0020" || !slices.Equal(c.Destinations, []string{j.Root(), also}) {
		t.Errorf("recorded: %+v", c)
	}
	if dirs, err := j.Also(); err != nil || !slices.Equal(dirs, []string{also}) {
		t.Errorf("other destinations: %v, %v", dirs, err)
	}
	if len(rep.Alarms) != 1 || !strings.Contains(rep.Alarms[0], "40 numbers") {
		t.Errorf("alarms: %q", rep.Alarms)
	}
	for _, name := range []string{manifestName, "journal.txt"} {
		if _, err := os.Stat(filepath.Join(also, stateFolder, name)); err != nil {
			t.Error(err)
		}
	}
	sums, err := j.Manifest()
	if err != nil || len(sums) != 27 {
		t.Errorf("%d sums, %v", len(sums), err)
	}
	bodies, err := j.Bodies()
	if err != nil || len(bodies) != 2 || bodies[0].Serial != "1001" || bodies[0].Letter != "A" || bodies[1].Letter != "B" {
		t.Errorf("bodies: %+v, %v", bodies, err)
	}
}

// Preparing and deciding go on beside an offload, and see only whole files.
func TestBesidePreparing(t *testing.T) {
	j := openJob(t)
	card := realCard(t, "1001", 1, 40)
	done := make(chan error, 1)
	go func() {
		rep, err := Run(context.Background(), j, Options{Sources: []string{card}, VolumeOf: eachItsDisk, SingleCopy: true})
		if err == nil && (rep.Bad() > 0 || !rep.Cards[0].Safe) {
			err = fmt.Errorf("%v %v", rep.Cards[0].Failed, rep.Cards[0].Why)
		}
		done <- err
	}()
	running, rounds, decided := true, 0, map[cull.ID]bool{}
	for running {
		select {
		case err := <-done:
			if err != nil {
				t.Fatal(err)
			}
			running = false
		default:
		}
		rounds++
		sum, err := prepare.Run(context.Background(), j, prepare.Options{Workers: 1})
		if err != nil {
			t.Fatal(err)
		}
		frames, err := j.Frames()
		if err != nil {
			t.Fatal(err)
		}
		for id, f := range frames {
			if f.Kind != "DNG" {
				t.Fatalf("half a file was seen: %+v", f)
			}
			if !decided[id] {
				decided[id] = true
				if _, err := j.Append(cull.Entry{Verb: cull.VerbAnswer, Pass: cull.KeepPass, Changes: []cull.Change{{Frame: id, After: cull.Yes, Shown: true, Explicit: true}}}); err != nil {
					t.Fatal(err)
				}
			}
		}
		if !running && sum.Frames != 40 {
			t.Errorf("%d frames in the end", sum.Frames)
		}
	}
	t.Logf("prepared %d times meanwhile", rounds)
}

// Two runs on one job: the second is told who is there.
func TestSecondRunIsRefused(t *testing.T) {
	j := openJob(t)
	r := newRun(Options{VolumeOf: eachItsDisk}, jobHost{Job: j}, stock{}, j.Root())
	free, err := r.lockAll()
	if err != nil {
		t.Fatal(err)
	}
	card := realCard(t, "1001", 1, 1)
	_, err = Run(context.Background(), j, Options{Sources: []string{card}, VolumeOf: eachItsDisk})
	if b, ok := err.(*BusyError); !ok || !strings.Contains(b.Error(), fmt.Sprint("process ", os.Getpid())) {
		t.Error(err)
	}
	free()
	if _, err = Run(context.Background(), j, Options{Sources: []string{card}, VolumeOf: eachItsDisk}); err != nil {
		t.Error(err)
	}
}
