package handoff

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/sidecar"
)

// bench is a job with frames A/F_01.NEF, A/F_02.NEF, … whose files are plain
// bytes: a handoff never looks into an original.
type bench struct {
	t *testing.T
	j *job.Job
	n int
}

func newBench(t *testing.T, mains ...string) *bench {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "Wedding 0613")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 6, 14, 9, 0, 0, 0, time.UTC)
	j, err := job.Open(dir, job.Options{Who: "anna", Now: func() time.Time { now = now.Add(time.Second); return now }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	b := &bench{t: t, j: j, n: len(mains)}
	var frames []cull.Frame
	l := cull.Layout{Scenes: []cull.Scene{{ID: 0, Name: "01", First: b.id(0)}, {ID: 1, Name: "02", First: b.id(2)}}}
	for i, m := range mains {
		b.put(m, fmt.Sprintf("the bytes of %s", m))
		kind := strings.ToUpper(strings.TrimPrefix(filepath.Ext(m), "."))
		if kind == "JPG" {
			kind = "JPEG"
		}
		at := time.Date(2026, 6, 13, 14, i, 5, 130e6, time.UTC)
		frames = append(frames, cull.Frame{ID: b.id(i), Name: strings.TrimSuffix(m, filepath.Ext(m)), Kind: kind, Body: "serial:X:1",
			Files: []cull.File{{Path: m, Role: cull.RoleMain, Kind: kind, Size: 5}}, Shot: cull.Shot{ISO: 800, Seconds: 0.004, FNumber: 2.8}})
		l.Places = append(l.Places, cull.Place{Frame: b.id(i), Moment: i, Kind: cull.Single, Scene: min(i/2, 1),
			Corrected: cull.Stamp{Wall: at, Digits: 2, Zone: 120, ZoneIs: cull.ZoneKnown}})
	}
	for _, err := range []error{j.SaveFrames(frames), j.SaveBodies([]cull.Body{{Key: "serial:X:1", Model: "X", Serial: "1"}}), j.SaveLayout(l)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if _, err := j.Append(job.Letter("serial:X:1", "A")); err != nil {
		t.Fatal(err)
	}
	return b
}

func (b *bench) id(i int) cull.ID { return cull.ID(fmt.Sprintf("%016x", 0xabc000+i)) }

func (b *bench) put(path, data string) {
	b.t.Helper()
	p := filepath.Join(b.j.Root(), filepath.FromSlash(path))
	if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(p, []byte(data), 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// answer decides frames by number.
func (b *bench) answer(a cull.Answer, frames ...int) {
	b.t.Helper()
	b.do(cull.Decide{Pass: cull.KeepPass, Answer: a, Frames: b.ids(frames)})
}

func (b *bench) ids(frames []int) (ids []cull.ID) {
	for _, i := range frames {
		ids = append(ids, b.id(i))
	}
	return ids
}

func (b *bench) do(a cull.Action) {
	b.t.Helper()
	s, err := b.j.Session()
	if err != nil {
		b.t.Fatal(err)
	}
	e, err := s.Plan(a, time.Date(2026, 6, 14, 10, 0, int(s.LastSeq()), 0, time.UTC), "anna")
	if err != nil {
		b.t.Fatal(err)
	}
	if _, err := b.j.Append(e); err != nil {
		b.t.Fatal(err)
	}
}

// run hands over and returns what was told, as "path action".
func (b *bench) run(o Options) (Summary, []string) {
	b.t.Helper()
	var told []string
	o.Line = func(l Line) { told = append(told, fmt.Sprintf("%s%s %s", l.Sidecar, l.Copy, l.Action)) }
	sum, err := Run(context.Background(), b.j, o)
	if err != nil {
		b.t.Fatal(err)
	}
	return sum, told
}

func (b *bench) read(path string) string {
	b.t.Helper()
	data, err := os.ReadFile(filepath.Join(b.j.Root(), filepath.FromSlash(path)))
	if err != nil {
		b.t.Fatal(err)
	}
	return string(data)
}

func (b *bench) values(path string) sidecar.Values {
	b.t.Helper()
	v, err := sidecar.Read([]byte(b.read(path)))
	if err != nil {
		b.t.Fatal(err)
	}
	return v
}

func want(t *testing.T, got []string, lines ...string) {
	t.Helper()
	if !slices.Equal(got, lines) {
		t.Errorf("told\n  %s\nwant\n  %s", strings.Join(got, "\n  "), strings.Join(lines, "\n  "))
	}
}

func TestKeepersGetSidecarsAndASecondRunWritesNothing(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF", "A/F_04.NEF")
	b.answer(cull.Yes, 0, 2)
	b.answer(cull.No, 1)
	sum, told := b.run(Options{})
	want(t, told, "A/F_01.xmp written", "A/F_03.xmp written")
	if sum.Keeps != 2 || sum.Failed() != 0 {
		t.Errorf("%+v", sum)
	}
	v := b.values("A/F_03.xmp")
	if *v.Rating != 1 || !*v.Good || v.Scene != "02" || v.CameraLabel != "A" || v.MetadataDate != "2026-06-14T10:00:01.000Z" {
		t.Errorf("%+v", v)
	}
	stamp := func() (stamps []string) {
		for _, p := range []string{"A/F_01.xmp", "A/F_03.xmp", ListText, ListCSV, ListJSON} {
			stamps = append(stamps, b.read(p))
		}
		info, err := os.Stat(filepath.Join(b.j.Root(), "A", "F_01.xmp"))
		if err != nil {
			t.Fatal(err)
		}
		return append(stamps, info.ModTime().String())
	}
	before := stamp()
	_, told = b.run(Options{})
	want(t, told, "A/F_01.xmp unchanged", "A/F_03.xmp unchanged")
	if !slices.Equal(before, stamp()) {
		t.Error("the second run changed a file")
	}
}

func TestChangedMindChangesOrWithdraws(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF")
	b.answer(cull.Yes, 0, 1, 2)
	b.run(Options{})
	b.answer(cull.No, 0)
	b.answer(cull.Open, 1)
	b.answer(cull.Part, 2)
	_, told := b.run(Options{})
	want(t, told, "A/F_01.xmp withdrawn", "A/F_02.xmp withdrawn", "A/F_03.xmp unchanged")
	if v := b.values("A/F_01.xmp"); !v.IsZero() || v.MetadataDate != "" {
		t.Errorf("withdrawn, yet %+v", v)
	}
	_, told = b.run(Options{Drops: true})
	want(t, told, "A/F_01.xmp merged", "A/F_02.xmp skipped", "A/F_03.xmp unchanged")
	if v := b.values("A/F_01.xmp"); *v.Rating != -1 || *v.Good {
		t.Errorf("dropped: %+v", v)
	}
	b.answer(cull.Yes, 0)
	b.run(Options{Drops: true, Rating: 3})
	if v := b.values("A/F_01.xmp"); *v.Rating != 3 || !*v.Good {
		t.Errorf("kept again: %+v", v)
	}
}

func TestSomebodyElsesRatingStays(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF")
	theirs := `<?xml version="1.0"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
 <rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:Rating="4" xmlns:o="urn:other" o:curve="0,1"/>
</rdf:RDF></x:xmpmeta>`
	b.put("A/F_01.XMP", theirs)
	b.put("A/F_02.NEF.xmp", "<broken")
	b.answer(cull.Yes, 0, 1)
	sum, told := b.run(Options{})
	want(t, told, "A/F_01.XMP conflict", "A/F_02.NEF.xmp failed")
	if got := b.read("A/F_01.XMP"); !strings.Contains(got, `xmp:Rating="4"`) || !strings.Contains(got, `o:curve="0,1"`) {
		t.Errorf("their values: %s", got)
	}
	if b.read("A/F_02.NEF.xmp") != "<broken" || sum.Failed() != 1 {
		t.Errorf("a sidecar that can't be parsed was touched: %+v", sum)
	}
	_, told = b.run(Options{Replace: true})
	want(t, told, "A/F_01.XMP merged", "A/F_02.NEF.xmp failed")
	if v := b.values("A/F_01.XMP"); *v.Rating != 1 {
		t.Errorf("%+v", v)
	}
}

// A program that was killed between writing a sidecar and remembering it finds
// its own values again by the date.
func TestKilledBeforeItRemembered(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	b.run(Options{})
	forget := map[string][]byte{"A/F_01.xmp": nil}
	if err := b.j.SetWrote(forget); err != nil {
		t.Fatal(err)
	}
	_, told := b.run(Options{})
	want(t, told, "A/F_01.xmp unchanged")
	_, told = b.run(Options{Rating: 2})
	want(t, told, "A/F_01.xmp merged")
	b.answer(cull.Open, 0)
	_, told = b.run(Options{})
	want(t, told, "A/F_01.xmp withdrawn")
}

func TestNamesOfSidecars(t *testing.T) {
	for style, lines := range map[sidecar.Style][]string{
		sidecar.Short: {"A/F_01.xmp written", "A/F_02.NEF.xmp written", "A/F_02.JPG.xmp written"},
		sidecar.Full:  {"A/F_01.NEF.xmp written", "A/F_02.NEF.xmp written", "A/F_02.JPG.xmp written"},
		sidecar.Both:  {"A/F_01.xmp written", "A/F_01.NEF.xmp written", "A/F_02.NEF.xmp written", "A/F_02.JPG.xmp written"},
	} {
		// F_02 are two exposures of one name in one folder: the short name would
		// belong to both.
		b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_02.JPG")
		b.answer(cull.Yes, 0, 1, 2)
		_, told := b.run(Options{Style: style})
		want(t, told, lines...)
	}
}

func TestKeywordsAndSceneNames(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF")
	b.answer(cull.Yes, 0, 1, 2)
	b.do(cull.DefinePass{Pass: cull.Pass{Name: "album", Source: cull.Source{Of: cull.KeepPass, Answer: cull.Yes}}})
	b.do(cull.Decide{Pass: "album", Frames: b.ids([]int{0}), Answer: cull.Yes})
	b.do(cull.NameScene{Frame: b.id(0), Name: "First dance"})
	b.run(Options{})
	if v := b.values("A/F_01.xmp"); v.Scene != "First dance" || strings.Contains(b.read("A/F_01.xmp"), "album") {
		t.Errorf("%+v", v)
	}
	b.run(Options{Keywords: true})
	if got := b.read("A/F_01.xmp"); !strings.Contains(got, "<rdf:li>album</rdf:li>") {
		t.Error(got)
	}
	if got := b.read("A/F_02.xmp"); strings.Contains(got, "album") {
		t.Error(got)
	}
}

func TestSidecarThatCannotBeWrittenOrRead(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF")
	if err := os.MkdirAll(filepath.Join(b.j.Root(), "A", "F_01.xmp", "in the way"), 0o755); err != nil {
		t.Fatal(err)
	}
	big := filepath.Join(b.j.Root(), "A", "F_02.xmp")
	b.put("A/F_02.xmp", "")
	if err := os.Truncate(big, maxSidecar+1); err != nil {
		t.Fatal(err)
	}
	b.answer(cull.Yes, 0, 1, 2)
	sum, told := b.run(Options{})
	want(t, told, "A/F_01.xmp failed", "A/F_02.xmp failed", "A/F_03.xmp written")
	if sum.Failed() != 2 || sum.Sidecars[Written] != 1 {
		t.Errorf("%+v", sum)
	}
}

func TestLists(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F, \"x\".NEF", "A/line\nbreak.NEF", "A/\xff.JPG")
	b.answer(cull.Yes, 0, 1, 2)
	b.answer(cull.Part, 3)
	sum, _ := b.run(Options{})
	if sum.Keeps != 3 || sum.Parts != 1 || sum.NotInText != 1 || sum.InFile != 1 {
		t.Errorf("%+v", sum)
	}
	if got := b.read(ListText); got != "A/F_01.NEF\nA/F, \"x\".NEF\nA/\xff.JPG\n" {
		t.Errorf("%q", got)
	}
	// RFC 4180: fields with commas, quotes or line breaks are quoted, quotes doubled.
	for _, line := range []string{
		"order,frame,file,body,scene,moment,time,zone,answer,passes,iso,seconds,f,lead,offset_ev,offset_by,ev100,flash,grey\r\n",
		"1,A/F_01,A/F_01.NEF,A,01,1,2026-06-13T14:00:05.13,+02:00,keep,,800,0.004,2.8,A/F_01,0.00,ev100,7.94,,\r\n",
		"2,\"A/F, \"\"x\"\"\",\"A/F, \"\"x\"\".NEF\",A,01,2,",
		"4,A/\xff,A/\xff.JPG,A,02,4,2026-06-13T14:03:05.13,+02:00,part,,",
	} {
		if got := b.read(ListCSV); !strings.Contains(got, line) {
			t.Errorf("no %q in\n%s", line, got)
		}
	}
	for _, part := range []string{`"frame": "A/line\nbreak"`, `"raw": "QS//"`, `"answer": "part"`, `"name": "02"`} {
		if got := b.read(ListJSON); !strings.Contains(got, part) {
			t.Errorf("no %s in\n%s", part, got)
		}
	}
}

func TestInterrupted(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF")
	b.answer(cull.Yes, 0, 1, 2)
	ctx, cancel := context.WithCancel(context.Background())
	_, err := Run(ctx, b.j, Options{Line: func(Line) { cancel() }})
	if err == nil {
		t.Fatal("no error")
	}
	// What was written is remembered: going on finds it unchanged.
	_, told := b.run(Options{})
	want(t, told, "A/F_01.xmp unchanged", "A/F_02.xmp written", "A/F_03.xmp written")
}

func TestListInTheWayIsALineNotTheEnd(t *testing.T) {
	b := newBench(t, "A/F_01.NEF")
	b.answer(cull.Yes, 0)
	if err := os.MkdirAll(filepath.Join(b.j.Root(), ListCSV, "in the way"), 0o755); err != nil {
		t.Fatal(err)
	}
	sum, told := b.run(Options{To: b.to()})
	if !slices.Contains(told, ListCSV+" failed") || !slices.Contains(told, "01/0001-A-F_01.NEF written") || !slices.Equal(sum.Lists, []string{ListText, ListJSON}) {
		t.Errorf("%q %+v", told, sum)
	}
}
