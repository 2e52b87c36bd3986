package match

import (
	"os"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/demo"
	"garner/cull/group"
	"garner/cull/job"
	"garner/testdata/testjob"
)

func TestMain(m *testing.M) { os.Exit(testjob.Run(m)) }

// The demo's second body is 7 min 20 s ahead, and its guest's clock is never met.
func TestDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("draws 120 frames")
	}
	j, err := job.Open(testjob.Template(t, demo.DefaultFrames, true), job.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	all, err := j.Frames()
	if err != nil {
		t.Fatal(err)
	}
	var in []group.Frame
	for _, f := range all {
		in = append(in, group.Of(f, cull.Body{Key: f.Body}, nil))
	}
	ps := Find(in, Options{})
	if len(ps) != 2 {
		t.Fatalf("%+v", ps)
	}
	t.Logf("%+v", ps)
	within(t, ps[0], -demo.OffsetSeconds*time.Second)
	if len(ps[0].Examples) != examples {
		t.Errorf("%d examples", len(ps[0].Examples))
	}
	for _, e := range ps[0].Examples {
		a, b := all[e.Of], all[e.Like]
		if apart := a.Taken.Wall.Add(ps[0].Add).Sub(b.Taken.Wall).Abs(); a.Body != ps[0].Body || b.Body != ps[0].Against || apart > 2*time.Second {
			t.Errorf("%s and %s are %s apart", a.Name, b.Name, apart)
		}
	}
	if ps[1].Confidence != CannotTell || ps[1].Reason == "" {
		t.Errorf("guest: %+v", ps[1])
	}
}
