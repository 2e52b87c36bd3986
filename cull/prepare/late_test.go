package prepare

import (
	"fmt"
	"reflect"
	"testing"

	"garner/cull"
	"garner/cull/group"
)

// A card that comes late is put in order as if it had been there from the start, and
// only what it touches is grouped anew.
func TestLateCard(t *testing.T) {
	first, whole := newShoot(t), newShoot(t)
	for i := range 12 {
		at := 10*i + i%3
		for _, s := range []shoot{first, whole} {
			if s.dir == whole.dir || i != 5 {
				s.raw(fmt.Sprintf("a/L%d.DNG", i), shot("one", at, 1), 300, 200, i/2)
			}
		}
	}
	first.run(Options{})
	since, err := first.open().SinceGrouped(group.Method)
	if err != nil || !since.Nothing() {
		t.Fatalf("after preparing something is said to have changed (%v)", err)
	}
	first.raw("a/L5.DNG", shot("one", 52, 1), 300, 200, 2)
	first.run(Options{})
	whole.run(Options{})
	a, err := first.open().AutoLayout()
	if err != nil {
		t.Fatal(err)
	}
	b, err := whole.open().AutoLayout()
	if err != nil || !reflect.DeepEqual(a, b) {
		t.Errorf("with a late card %v, with all at once %v (%v)", a, b, err)
	}
}

// While one program makes pictures another may put the job in order with what it has
// read before: what it takes note of it has to group.
func TestOrderOfTwoPrograms(t *testing.T) {
	s := newShoot(t)
	for i := range 4 {
		s.raw(fmt.Sprintf("a/L%d.DNG", i), shot("one", i, 1), 300, 200, 1)
	}
	s.run(Options{})
	j := s.open()
	want, err := j.AutoLayout()
	if err != nil || want.Places[3].Moment != 0 {
		t.Fatalf("no burst: %v (%v)", want, err)
	}
	all, err := j.Frames()
	if err != nil {
		t.Fatal(err)
	}
	var before, now []cull.Frame
	for _, f := range all {
		now = append(now, f)
		f.HasFingerprint, f.Fingerprint = false, 0
		before = append(before, f)
	}
	if err := j.SaveFrames(before); err != nil {
		t.Fatal(err)
	}
	if _, err := regroup(j, before); err != nil {
		t.Fatal(err)
	}
	if err := j.SaveFrames(now); err != nil { // the one has made the pictures
		t.Fatal(err)
	}
	if _, err := regroup(j, before); err != nil { // the other does not know
		t.Fatal(err)
	}
	if err := Regroup(j); err != nil {
		t.Fatal(err)
	}
	if got, err := j.AutoLayout(); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v (%v)", got, want, err)
	}
}
