package handoff

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
)

// free lets a frame of the bench live on in a small picture.
func (b *bench) free(i int) {
	b.t.Helper()
	frames, err := b.j.Frames()
	if err != nil {
		b.t.Fatal(err)
	}
	was := frames[b.id(i)].Files[0]
	p := cull.SmallPath(was.Path)
	b.put(p, "the small one of "+was.Path)
	if err := os.Remove(filepath.Join(b.j.Root(), filepath.FromSlash(was.Path))); err != nil {
		b.t.Fatal(err)
	}
	small := cull.File{Path: p, Role: cull.RoleSmall, Kind: "JPEG", Size: 5, Of: cull.Origin{Path: was.Path, Kind: was.Kind, Size: was.Size}}
	if err := b.j.ReplaceFiles(map[cull.ID][]cull.File{b.id(i): {small}}); err != nil {
		b.t.Fatal(err)
	}
}

// A frame whose original was freed has its sidecar where it was, beside nothing if need
// be, and is copied as what stays of it.
func TestFreedKeeper(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "B/F_03.NEF", "A/F_04.NEF")
	b.answer(cull.Yes, 0)
	b.answer(cull.No, 1, 2, 3)
	b.run(Options{Drops: true, To: b.to()})
	before := map[string]string{}
	for _, p := range []string{"A/F_01.xmp", "A/F_02.xmp", "A/F_04.xmp"} {
		before[p] = b.read(p)
	}
	for i := range 4 {
		b.free(i)
	}
	sum, told := b.run(Options{Drops: true})
	for p, was := range before {
		if b.read(p) != was || !slices.Contains(told, p+" unchanged") {
			t.Errorf("%s changed: %q", p, told)
		}
	}
	if sum.Failed() > 0 {
		t.Errorf("%+v %q", sum, told)
	}

	// Everything of B is gone but the frame, and now it is wanted after all.
	if err := os.RemoveAll(filepath.Join(b.j.Root(), "B")); err != nil {
		t.Fatal(err)
	}
	b.answer(cull.Yes, 2)
	sum, told = b.run(Options{Drops: true, To: b.to()})
	if sum.Failed() > 0 || !strings.Contains(b.read("B/F_03.xmp"), "Rating") {
		t.Errorf("%+v %q", sum, told)
	}
	if got := b.copied("02/0003-A-F_03.jpg"); got != "the small one of B/F_03.NEF" {
		t.Errorf("copied %q", got)
	}
	if got := b.copied("01/0001-A-F_01.NEF"); got != "the bytes of A/F_01.NEF" {
		t.Errorf("what was copied before became %q", got)
	}
	if got := b.read("keeps.txt"); !strings.Contains(got, "small/B/F_03.NEF.jpg") {
		t.Errorf("the list says %q", got)
	}
}
