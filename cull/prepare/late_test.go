package prepare

import (
	"fmt"
	"reflect"
	"testing"

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
