//go:build unix

package handoff

// These tests hold what once went wrong: kills between a write and its record,
// records that were lost, names that collide, and things in the way.

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"garner/cull"
	"garner/store"
)

func (b *bench) wroteOf(k string) []byte { w, _ := b.j.AllWrote(); return w[k] }

func TestKilledAfterARedecision(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	b.run(Options{})
	old := b.wroteOf("A/F_01.xmp")
	b.answer(cull.No, 0)
	b.run(Options{Drops: true})
	// As if killed after the write: the record is the old one, the intent is there.
	if err := b.j.SetWrote(map[string][]byte{"A/F_01.xmp": old}); err != nil {
		t.Fatal(err)
	}
	m, err := remembered(b.j, nil)
	if err != nil {
		t.Fatal(err)
	}
	m.intend("A/F_01.xmp", b.id(0), b.values("A/F_01.xmp"), []byte(b.read("A/F_01.xmp")))
	if err := m.save(); err != nil {
		t.Fatal(err)
	}
	b.run(Options{Drops: true})
	b.answer(cull.Open, 0)
	_, told := b.run(Options{Drops: true})
	if v := b.values("A/F_01.xmp"); v.Rating != nil {
		t.Errorf("our -1 stays for ever: %v rating %d", told, *v.Rating)
	}
}

func TestRecordLostThenRedecided(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	b.run(Options{})
	b.j.SetWrote(map[string][]byte{"A/F_01.xmp": nil})
	b.answer(cull.No, 0)
	_, told := b.run(Options{})
	if v := b.values("A/F_01.xmp"); v.Rating != nil {
		t.Errorf("%v: rating %d of a dropped frame", told, *v.Rating)
	}
}

func TestSidecarMovedWithItsPicture(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	b.run(Options{})
	os.Rename(filepath.Join(b.j.Root(), "A"), filepath.Join(b.j.Root(), "B"))
	b.j.ReplaceFiles(map[cull.ID][]cull.File{b.id(0): {{Path: "B/F_01.NEF", Role: cull.RoleMain, Kind: "NEF"}}})
	b.answer(cull.No, 0)
	_, told := b.run(Options{})
	if v := b.values("B/F_01.xmp"); v.Rating != nil {
		t.Errorf("%v: rating %d of a dropped frame", told, *v.Rating)
	}
}

func TestNothingIsWrittenTwice(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	files := func() (l []uint64) {
		for _, p := range []string{filepath.Join(b.j.Root(), ListText), filepath.Join(b.j.Root(), ListCSV), filepath.Join(b.j.Root(), ListJSON), filepath.Join(b.to(), NoteName)} {
			i, _ := os.Stat(p)
			l = append(l, i.Sys().(*syscall.Stat_t).Ino)
		}
		return
	}
	b.run(Options{To: b.to()})
	x := files()
	b.run(Options{To: b.to()})
	if !slices.Equal(x, files()) {
		t.Error("lists or note were written again")
	}
}

func TestPipeInPlaceOfASidecar(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	syscall.Mkfifo(filepath.Join(b.j.Root(), "A", "F_01.xmp"), 0o644)
	done := make(chan bool)
	go func() { b.run(Options{}); close(done) }()
	select {
	case <-done:
	case <-time.After(3 * time.Second):
		t.Error("hangs on a pipe")
	}
}

func TestLineBreaksInNamesStayInTheTable(t *testing.T) {
	b := newBench(t, "A/cr\rx.NEF", "A/lf\nx.NEF")
	b.answer(cull.Yes, 0, 1)
	b.run(Options{})
	got := b.read(ListCSV)
	if !strings.Contains(got, "A/cr\rx.NEF") {
		t.Error("a CR in a name is dropped from the csv")
	}
	if !strings.Contains(got, "A/lf\nx.NEF") {
		t.Error("an LF in a name becomes CR LF in the csv")
	}
}

func TestKeeperWhoseOriginalIsAway(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF")
	b.answer(cull.Yes, 0, 1)
	b.run(Options{To: b.to()})
	b.j.ReplaceFiles(map[cull.ID][]cull.File{b.id(0): {}})
	func() {
		defer func() {
			if r := recover(); r != nil {
				t.Errorf("panics: %v", r)
			}
		}()
		sum, told := b.run(Options{To: b.to()})
		if len(sum.NoLongerKept) > 0 {
			t.Errorf("a keeper whose original is away is called no keeper: %v %v", sum.NoLongerKept, told)
		}
	}()
}

func TestPlacesNeverCollide(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A2/F_01.NEF")
	b.answer(cull.Yes, 0)
	b.run(Options{To: b.to()})
	l, _ := b.j.Layout()
	l.Places[0].Frame, l.Places[1].Frame = l.Places[1].Frame, l.Places[0].Frame
	b.j.SaveLayout(l)
	b.answer(cull.Yes, 1)
	_, told := b.run(Options{To: b.to()})
	if slices.Contains(told, "01/0001-A-F_01.NEF failed") {
		t.Errorf("a keeper can never be copied: %v", told)
	}
}

func TestSomebodysNoteStays(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	os.MkdirAll(b.to(), 0o755)
	os.WriteFile(filepath.Join(b.to(), NoteName), []byte("somebody's"), 0o644)
	b.run(Options{To: b.to()})
	if b.copied(NoteName) != "somebody's" {
		t.Error("somebody's READ ME.txt was overwritten")
	}
}
func TestSharedSidecarBelongsToNobody(t *testing.T) {
	b := newBench(t, "A/F_02.NEF", "A/F_02.JPG")
	b.put("A/F_02.xmp", `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:o="urn:o" o:whose="1"/></rdf:RDF></x:xmpmeta>`)
	b.answer(cull.Yes, 0, 1)
	b.run(Options{To: b.to()})
	for _, p := range b.tree() {
		if strings.HasSuffix(p, ".xmp") && strings.Contains(b.copied(p), "o:whose") {
			t.Errorf("%s begins with a sidecar that belongs to nobody", p)
		}
	}
}
func TestTheirEqualRatingStaysTheirs(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.put("A/F_01.xmp", `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:Rating="1"/></rdf:RDF></x:xmpmeta>`)
	b.answer(cull.Yes, 0)
	b.run(Options{To: b.to()})
	b.answer(cull.Open, 0)
	b.run(Options{To: b.to()})
	j, c := strings.Contains(b.read("A/F_01.xmp"), "Rating"), strings.Contains(b.copied("01/0001-A-F_01.xmp"), "Rating")
	if j != c {
		t.Errorf("somebody's rating 1: in the job stays %v, beside the copy stays %v", j, c)
	}
}
func TestWithdrawnIsNotHandedOver(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	b.run(Options{})
	b.answer(cull.Open, 0)
	b.run(Options{})
	s, _ := b.j.Status()
	if s.HandedOver != 0 {
		t.Errorf("status counts %d sidecars as handed over", s.HandedOver)
	}
}
func TestLongNames(t *testing.T) {
	b := newBench(t, "A/"+strings.Repeat("n", 246)+".NEF")
	b.answer(cull.Yes, 0)
	sum, told := b.run(Options{To: b.to()})
	if sum.Copies[Failed] > 0 {
		t.Errorf("%.40s…: failed", told[len(told)-1])
	}
}
func TestPartialsInTheJobAreSwept(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	n := "A/" + store.PartialName("F_01.xmp", "x1")
	b.put(n, "half")
	b.run(Options{})
	if _, err := os.Stat(filepath.Join(b.j.Root(), n)); err == nil {
		t.Error("a sidecar's partial in the job stays")
	}
}
func TestSceneFolderThatLeadsIntoTheJob(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	os.MkdirAll(b.to(), 0o755)
	os.Symlink(filepath.Join(b.j.Root(), "A"), filepath.Join(b.to(), "01"))
	Run(context.Background(), b.j, Options{To: b.to()})
	if _, err := os.Stat(filepath.Join(b.j.Root(), "A", "0001-A-F_01.NEF")); err == nil {
		t.Error("copies went into the job")
	}
}
func TestFileInPlaceOfASceneFolder(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF")
	b.answer(cull.Yes, 0, 2)
	os.MkdirAll(b.to(), 0o755)
	os.WriteFile(filepath.Join(b.to(), "01"), nil, 0o644)
	if _, err := Run(context.Background(), b.j, Options{To: b.to()}); err != nil {
		t.Errorf("one scene's folder in the way ends all: %v", err)
	}
}
func TestNamesThatAreNotUTF8InJSON(t *testing.T) {
	b := newBench(t, "A/\xff.JPG")
	b.answer(cull.Yes, 0)
	b.run(Options{})
	if !strings.Contains(b.read(ListJSON), `"QS//LkpQRw=="`) { // base64 of "A/\xff.JPG"
		t.Error("files in keeps.json lose bytes that are not UTF-8")
	}
}
func TestNamesThatDifferInCase(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/f_01.nef")
	b.answer(cull.Yes, 0)
	b.answer(cull.No, 1)
	b.run(Options{Drops: true})
	_, told := b.run(Options{Drops: true})
	a, c := b.values("A/F_01.NEF.xmp"), b.values("A/f_01.nef.xmp")
	if *a.Rating != 1 || *c.Rating != -1 {
		t.Errorf("ratings %d %d", *a.Rating, *c.Rating)
	}
	for _, l := range told {
		if !strings.HasSuffix(l, "unchanged") {
			t.Errorf("twice: %v", told)
			break
		}
	}
}
func TestDroppedFramesHaveSceneAndLabel(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.No, 0)
	b.run(Options{Drops: true})
	if v := b.values("A/F_01.xmp"); v.Scene == "" || v.CameraLabel == "" {
		t.Error("a dropped frame's sidecar has no scene and label")
	}
}
func TestReasonsDoNotRepeatThePath(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	os.MkdirAll(b.to()+"/01/0001-A-F_01.NEF", 0o755)
	Run(context.Background(), b.j, Options{To: b.to(), Line: func(l Line) {
		if l.Action == Failed && strings.Contains(l.Reason, b.to()) {
			t.Errorf("the reason repeats the whole path: %s", l.Reason)
		}
	}})
}
