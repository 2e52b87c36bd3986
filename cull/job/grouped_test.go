package job_test

import (
	"bytes"
	"os"
	"testing"

	"garner/cull"
)

// What was saved since the order was made is known in the next program too, and what
// was saved while the order was being made stays noted.
func TestSinceGrouped(t *testing.T) {
	j := sample(t, 5)
	since := func(method int) (known bool, changed string) {
		t.Helper()
		s, err := j.SinceGrouped(method)
		must(t, err)
		for i := range 5 {
			if s.Changed(sampleFrame(i).ID) {
				changed += string(rune('0' + i))
			}
		}
		return s.Known, changed
	}
	expect := func(when string, method int, wantKnown bool, want string) {
		t.Helper()
		if known, got := since(method); known != wantKnown || got != want {
			t.Errorf("%s: known %v, changed %q; want %v, %q", when, known, got, wantKnown, want)
		}
	}
	expect("an order of unknown making", 1, false, "01234")
	s, err := j.SinceGrouped(1)
	must(t, err)
	must(t, j.SaveGrouping(sampleLayout(5), 1, s))
	expect("just grouped", 1, true, "")
	expect("by another method", 2, false, "01234")
	must(t, j.SaveFrames([]cull.Frame{sampleFrame(3)}))
	must(t, j.SaveLooks(map[cull.ID]cull.Look{sampleFrame(1).ID: {Method: 1}}))
	expect("two were saved", 1, true, "13")
	s, err = j.SinceGrouped(1)
	must(t, err)
	must(t, j.SaveFrames([]cull.Frame{sampleFrame(3), sampleFrame(4)})) // while it is grouped
	must(t, j.SaveGrouping(sampleLayout(5), 1, s))
	expect("two were saved meanwhile", 1, true, "34")
	must(t, j.SaveLayout(sampleLayout(5)))
	expect("an order of unknown making again", 1, false, "01234")
}

// After damage nothing is known of what was saved since, whichever records it took.
func TestSinceGroupedAfterDamage(t *testing.T) {
	dir := t.TempDir()
	j := open(t, dir)
	fill(t, j, 24)
	s, err := j.SinceGrouped(1)
	must(t, err)
	must(t, j.SaveGrouping(sampleLayout(5), 1, s))
	must(t, j.SaveFrames([]cull.Frame{sampleFrame(3)}))
	must(t, j.Close())
	b, err := os.ReadFile(catalogFile(dir))
	must(t, err)
	for page := range len(b) / 4096 {
		damaged := bytes.Clone(b)
		clear(damaged[page*4096 : (page+1)*4096])
		must(t, os.WriteFile(catalogFile(dir), damaged, 0o666))
		os.Remove(catalogFile(dir) + ".lock")
		j := open(t, dir)
		if s, err := j.SinceGrouped(1); err != nil || s.Known && !s.Changed(sampleFrame(3).ID) {
			t.Errorf("page %d: %v, %q", page, err, j.Recovered())
		}
		must(t, j.Close())
	}
}
