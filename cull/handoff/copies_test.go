package handoff

import (
	"context"
	"crypto/sha256"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/store"
)

func (b *bench) to() string { return filepath.Join(filepath.Dir(b.j.Root()), "edit") }

// tree lists the files below the folder of copies.
func (b *bench) tree() (paths []string) {
	b.t.Helper()
	err := filepath.WalkDir(b.to(), func(p string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			rel, _ := filepath.Rel(b.to(), p)
			paths = append(paths, filepath.ToSlash(rel))
		}
		return err
	})
	if err != nil {
		b.t.Fatal(err)
	}
	slices.Sort(paths)
	return paths
}

func (b *bench) copied(path string) string {
	b.t.Helper()
	data, err := os.ReadFile(filepath.Join(b.to(), filepath.FromSlash(path)))
	if err != nil {
		b.t.Fatal(err)
	}
	return string(data)
}

func TestCopiesWithSidecarsByScene(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.JPG", "A/F_04.NEF")
	b.put("A/F_04.xmp", `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:o="urn:o" o:mine="1"/></rdf:RDF></x:xmpmeta>`)
	b.answer(cull.Yes, 0, 2, 3)
	b.do(cull.NameScene{Frame: b.id(2), Name: `Cake: "first" cut?`})
	sum, _ := b.run(Options{To: b.to()})
	scene := `02 Cake_ _first_ cut_`
	wantTree := []string{"01/0001-A-F_01.NEF", "01/0001-A-F_01.xmp", scene + "/0003-A-F_03.JPG", scene + "/0003-A-F_03.xmp", scene + "/0004-A-F_04.NEF", scene + "/0004-A-F_04.xmp", NoteName}
	if got := b.tree(); !slices.Equal(got, wantTree) {
		t.Errorf("files %q", got)
	}
	if sum.Copies[Written] != 3 || sum.Failed() != 0 {
		t.Errorf("%+v", sum)
	}
	if b.copied("01/0001-A-F_01.NEF") != "the bytes of A/F_01.NEF" {
		t.Error("other bytes")
	}
	if got := b.copied(scene + "/0004-A-F_04.xmp"); !strings.Contains(got, `o:mine="1"`) || !strings.Contains(got, "Rating") {
		t.Errorf("the job's sidecar did not come along: %s", got)
	}
	if note := b.copied(NoteName); !strings.Contains(note, "3 pictures") || !strings.Contains(note, "DNG files among them: 1.") {
		t.Error(note)
	}
	if runtime.GOOS != "windows" {
		// Editors write into JPEG and DNG files: a copy never shares its bytes.
		a, _ := os.Stat(filepath.Join(b.j.Root(), "A", "F_03.JPG"))
		c, _ := os.Stat(filepath.Join(b.to(), scene, "0003-A-F_03.JPG"))
		if os.SameFile(a, c) {
			t.Error("the copy is a hard link")
		}
	}
}

func TestSecondRunCopiesNothingAndNamesStay(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF")
	b.answer(cull.Yes, 1, 2)
	b.run(Options{To: b.to()})
	first := b.tree()
	sum, told := b.run(Options{To: b.to()})
	want(t, told, "A/F_02.xmp unchanged", "A/F_03.xmp unchanged", "01/0002-A-F_02.NEF unchanged", "01/0002-A-F_02.xmp unchanged", "02/0003-A-F_03.NEF unchanged", "02/0003-A-F_03.xmp unchanged")
	if sum.CopiedBytes != 0 || !slices.Equal(first, b.tree()) {
		t.Errorf("%+v %v", sum, b.tree())
	}
	// Another order (a corrected clock) and one more keeper: no file is renamed.
	l, err := b.j.Layout()
	if err != nil {
		t.Fatal(err)
	}
	slices.Reverse(l.Places)
	for i := range l.Places {
		l.Places[i].Scene, l.Places[i].Moment = min(i/2, 1), i
		l.Places[i].Corrected.Wall = time.Date(2026, 6, 13, 18, i, 0, 0, time.UTC)
	}
	if err := b.j.SaveLayout(l); err != nil {
		t.Fatal(err)
	}
	b.answer(cull.Yes, 0)
	b.run(Options{To: b.to()})
	added := slices.DeleteFunc(b.tree(), func(p string) bool { return slices.Contains(first, p) })
	if !slices.Equal(added, []string{"02/0003-A-F_01.NEF", "02/0003-A-F_01.xmp"}) {
		t.Errorf("added %q", added)
	}
}

func TestEditedCopyStaysAndAnotherFileInTheWayFails(t *testing.T) {
	b := newBench(t, "A/F_01.DNG", "A/F_02.NEF")
	b.answer(cull.Yes, 0)
	b.run(Options{To: b.to()})
	edited := filepath.Join(b.to(), "01", "0001-A-F_01.DNG")
	if err := os.WriteFile(edited, []byte("edited"), 0o644); err != nil {
		t.Fatal(err)
	}
	inTheWay := filepath.Join(b.to(), "01", "0002-A-F_02.NEF")
	if err := os.WriteFile(inTheWay, []byte("somebody's"), 0o644); err != nil {
		t.Fatal(err)
	}
	b.answer(cull.Yes, 1)
	sum, told := b.run(Options{To: b.to()})
	for _, line := range []string{"01/0001-A-F_01.DNG skipped", "01/0002-A-F_02.NEF failed"} {
		if !slices.Contains(told, line) {
			t.Errorf("no %q in %q", line, told)
		}
	}
	if sum.Failed() != 1 || b.copied("01/0001-A-F_01.DNG") != "edited" || b.copied("01/0002-A-F_02.NEF") != "somebody's" {
		t.Errorf("%+v", sum)
	}
	// A copy that failed is not taken for ours later.
	sum, told = b.run(Options{To: b.to()})
	if sum.Failed() != 1 || !slices.Contains(told, "01/0002-A-F_02.NEF failed") {
		t.Errorf("the second time: %q", told)
	}
}

// Nobody writes into a NEF: a copy with other bytes is damaged, not edited. And
// an original that is no longer what was recorded of it goes nowhere.
func TestDamageIsNotHandedOver(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF")
	b.answer(cull.Yes, 0)
	b.run(Options{To: b.to()})
	if err := os.WriteFile(filepath.Join(b.to(), "01", "0001-A-F_01.NEF"), []byte("the bytes of A/F_01.NEf"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := b.j.RecordManifest(map[string]job.Sum{"A/F_02.NEF": sha256.Sum256([]byte("the bytes of A/F_02.NEF"))}); err != nil {
		t.Fatal(err)
	}
	b.put("A/F_02.NEF", "the bytes of A/F_02.NEf")
	b.answer(cull.Yes, 1)
	sum, told := b.run(Options{To: b.to()})
	for _, line := range []string{"01/0001-A-F_01.NEF failed", "01/0002-A-F_02.NEF failed"} {
		if !slices.Contains(told, line) {
			t.Errorf("no %q in %q", line, told)
		}
	}
	if got := b.tree(); sum.Failed() != 2 || slices.Contains(got, "01/0002-A-F_02.NEF") {
		t.Errorf("%+v %q", sum, got)
	}
	b.put("A/F_02.NEF", "the bytes of A/F_02.NEF")
	if _, told = b.run(Options{To: b.to()}); !slices.Contains(told, "01/0002-A-F_02.NEF written") {
		t.Errorf("the whole original again: %q", told)
	}
}

func TestNoLongerKept(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF")
	b.answer(cull.Yes, 0, 1)
	b.run(Options{To: b.to()})
	b.answer(cull.No, 0)
	sum, told := b.run(Options{To: b.to()})
	if !slices.Equal(sum.NoLongerKept, []string{"01/0001-A-F_01.NEF"}) || !slices.Contains(told, "01/0001-A-F_01.xmp withdrawn") {
		t.Errorf("%+v %q", sum, told)
	}
	if got := b.copied("01/0001-A-F_01.xmp"); strings.Contains(got, "Rating") {
		t.Error(got)
	}
	if b.copied("01/0001-A-F_01.NEF") != "the bytes of A/F_01.NEF" {
		t.Error("the copy was touched")
	}
}

func TestFolderInsideTheJobIsRefused(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	inside := []string{b.j.Root(), filepath.Join(b.j.Root(), "edit", "deep")}
	if runtime.GOOS != "windows" {
		link := filepath.Join(t.TempDir(), "link")
		if err := os.Symlink(b.j.Root(), link); err != nil {
			t.Fatal(err)
		}
		inside = append(inside, filepath.Join(link, "edit"))
	}
	for _, to := range inside {
		if _, err := Run(context.Background(), b.j, Options{To: to}); !errors.Is(err, ErrInsideJob) {
			t.Errorf("%s: %v", to, err)
		}
	}
	if _, err := Run(context.Background(), b.j, Options{To: b.j.Root() + " edit"}); err != nil {
		t.Error(err)
	}
}

func TestCopiesGoOnAfterAnInterruption(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF")
	b.answer(cull.Yes, 0, 1, 2)
	// What a killed copy leaves behind is swept.
	if err := os.MkdirAll(filepath.Join(b.to(), "01"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(b.to(), "01", store.PartialName("0001-A-F_01.NEF", "x1")), []byte("half"), 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	_, err := Run(ctx, b.j, Options{To: b.to(), Line: func(l Line) {
		if l.Copy != "" {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	sum, _ := b.run(Options{To: b.to()})
	if sum.Copies[Written] != 2 || sum.Copies[Unchanged] != 1 || len(b.tree()) != 7 {
		t.Errorf("%+v %q", sum, b.tree())
	}
}
