package free

import (
	"iter"
	"maps"
	"os"
	"reflect"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

func mapKeys[V any](m map[string]V) iter.Seq[string] { return maps.Keys(m) }

func mtime(t testing.TB, name string) time.Time {
	t.Helper()
	info, err := os.Stat(name)
	must(t, err)
	return info.ModTime()
}

func gone(p Plan) (paths []string) {
	for _, f := range p.Go {
		paths = append(paths, f.Path)
	}
	return paths
}

// What was dropped after it had been seen goes, and is in the job and the journal as
// what it is; everything else is as it was.
func TestFree(t *testing.T) {
	w := married(t)
	sum, plan, err := w.free(ordinary())
	must(t, err)
	want := []string{"A/T0002.DNG", "A/T0003.DNG", "A/T0007.DNG"}
	if got := gone(plan); !slices.Equal(got, want) || sum.Freed != 3 || len(sum.Stayed) != 0 {
		t.Fatalf("planned %v, %+v", got, sum)
	}
	if len(plan.Stay) != 1 || plan.Stay[0].Path != "A/T0004.DNG" || plan.Stay[0].Why != NotShown {
		t.Errorf("stay %+v", plan.Stay)
	}
	is := w.tree(w.root)
	for p, b := range w.was {
		if slices.Contains(want, p) {
			if _, there := is[p]; there {
				t.Errorf("%s is still there", p)
			}
			if is[cull.SmallPath(p)] == nil {
				t.Errorf("%s has no small picture in the job", p)
			}
			delete(is, cull.SmallPath(p))
		} else if !slices.Equal(is[p], b) {
			t.Errorf("%s is not what it was", p)
		} else {
			delete(is, p)
		}
	}
	if len(is) > 0 {
		t.Errorf("new in the job: %v", slices.Collect(maps.Keys(is)))
	}
	w.open(func(j *job.Job) {
		freed, err := j.Freed()
		must(t, err)
		if got := slices.Sorted(maps.Keys(freed)); !reflect.DeepEqual(got, want) {
			t.Errorf("the journal has %v", got)
		}
		frames, err := j.Frames()
		must(t, err)
		sums, err := j.Manifest()
		must(t, err)
		for i, p := range w.paths {
			goes := slices.Contains(want, p)
			if f := frames[w.ids[i]]; f.Freed() != goes || f.Name != p[:len("A/T0001")] {
				t.Errorf("%s: freed %v, called %s", p, f.Freed(), f.Name)
			}
			_, listed := sums[p]
			_, small := sums[cull.SmallPath(p)]
			if listed == goes || small != goes {
				t.Errorf("%s: in the manifest %v, its small picture %v", p, listed, small)
			}
		}
	})
	again, plan, err := w.free(ordinary())
	if err != nil || again.Freed != 0 || len(plan.Go) != 0 {
		t.Errorf("again: %+v %v %v", again, plan.Go, err)
	}
}
