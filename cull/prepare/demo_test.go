package prepare

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/demo"
	"garner/cull/job"
)

// TestDemoIsGroupedAsItWasShot prepares the invented wedding, corrects body B's
// clock, and compares the moments with those the photographers meant: how many
// of the pairs that were put together belong together, and how many of the pairs
// that belong together were put together.
func TestDemoIsGroupedAsItWasShot(t *testing.T) {
	if testing.Short() {
		t.Skip("draws sixty pictures")
	}
	dir := filepath.Join(t.TempDir(), "wedding")
	shoot, err := demo.Make(context.Background(), dir, demo.Options{Frames: 60})
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if _, err := Run(context.Background(), j, Options{Workers: 2}); err != nil {
		t.Fatal(err)
	}
	bodies, err := j.Bodies()
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range bodies {
		if b.Serial == shoot.Bodies[1].Serial {
			if _, err := j.Append(job.SetOffset(b.Key, cull.Offset{Add: -demo.OffsetSeconds * time.Second})); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := Regroup(j); err != nil {
		t.Fatal(err)
	}
	frames, err := j.Frames()
	if err != nil {
		t.Fatal(err)
	}
	l, err := j.Layout()
	if err != nil {
		t.Fatal(err)
	}
	truth := map[string]demo.Truth{}
	for _, tr := range shoot.Truth {
		truth[tr.Paths[0]] = tr
	}
	if len(l.Places) != len(shoot.Truth) {
		t.Fatalf("%d frames in order, %d were shot", len(l.Places), len(shoot.Truth))
	}
	var both, ours, theirs, scenes, sceneBoth int
	for i, p := range l.Places {
		a := truth[frames[p.Frame].Files[0].Path]
		for _, q := range l.Places[:i] {
			b := truth[frames[q.Frame].Files[0].Path]
			meant, made := a.Moment == b.Moment, p.Moment == q.Moment
			if meant {
				theirs++
			}
			if made {
				ours++
			}
			if meant && made {
				both++
			}
			if p.Scene == q.Scene {
				scenes++
				if a.Scene == b.Scene {
					sceneBoth++
				}
			}
		}
	}
	precision, recall := float64(both)/float64(ours), float64(both)/float64(theirs)
	t.Logf("moments: pair precision %.3f (%d of %d), recall %.3f (%d of %d); scenes: %d, pair precision %.3f", precision, both, ours, recall, both, theirs, len(l.Scenes), float64(sceneBoth)/float64(scenes))
	if precision < 0.98 || recall < 0.9 {
		t.Errorf("precision %.3f, recall %.3f", precision, recall)
	}
	for i := 1; i < len(l.Places); i++ {
		a, b := truth[frames[l.Places[i-1].Frame].Files[0].Path], truth[frames[l.Places[i].Frame].Files[0].Path]
		if l.Places[i-1].Moment != l.Places[i].Moment && a.Time.After(b.Time.Add(10*time.Second)) {
			t.Errorf("%v stands before %v: the clocks were not corrected", a.Paths, b.Paths)
		}
	}
}
