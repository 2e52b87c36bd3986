package returned

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/testdata/testjob"
	"garner/testdata/testneed"
)

const smallWedding = 24

// shown are the frames of a job that can be shown, in order.
func shown(e *exporter) (ids []cull.ID) {
	l, err := e.j.Layout()
	if err != nil {
		e.t.Fatal(err)
	}
	for _, p := range l.Places {
		if f := e.frame[p.Frame]; f.CanBeShown() && f.HasFingerprint {
			ids = append(ids, p.Frame)
		}
	}
	return ids
}

func (e *exporter) put(name string, b []byte) {
	e.t.Helper()
	to := filepath.Join(e.j.Root(), filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
		e.t.Fatal(err)
	}
	if err := os.WriteFile(to, b, 0o666); err != nil {
		e.t.Fatal(err)
	}
}

func tieOf(t testing.TB, m *Matched, path string) Tie {
	t.Helper()
	i := slices.IndexFunc(m.Ties, func(tie Tie) bool { return tie.Path == path })
	if i < 0 {
		t.Fatalf("no tie for %s", path)
	}
	return m.Ties[i]
}

// What is there is listed, what cannot be read says why, and the rest is none of ours.
// A picture is read again when it changes, and forgotten when it is gone.
func TestFiles(t *testing.T) {
	e := newExporter(t, testjob.Demo(t, smallWedding, true))
	if m := e.match(Options{}); len(m.Pictures)+len(m.Failed)+len(m.Ties) != 0 {
		t.Errorf("nothing came back: %+v", m)
	}
	ids := shown(e)
	e.write(ids[0], edit{}, "finished/day/1.jpg")
	e.write(ids[1], edit{}, "finished/2.JPG")
	whole, err := os.ReadFile(filepath.Join(e.j.Root(), "finished/2.JPG"))
	if err != nil {
		t.Fatal(err)
	}
	e.put("finished/cut off.jpg", whole[:len(whole)/2])
	e.put("finished/empty.png", nil)
	e.put("finished/text.tif", []byte("no picture"))
	for _, other := range []string{"finished/._2.JPG", "finished/.hidden/3.jpg", "finished/notes.txt", "finished/1.xmp", "finished-2/1.jpg"} {
		e.put(other, whole)
	}

	m := e.match(Options{})
	var paths, failed []string
	for _, p := range m.Pictures {
		paths = append(paths, p.Path)
	}
	for _, f := range m.Failed {
		failed = append(failed, f.Path)
		if f.Reason == "" || strings.Contains(f.Reason, e.j.Root()) {
			t.Errorf("%+v", f)
		}
	}
	if want := []string{"finished/2.JPG", "finished/day/1.jpg"}; !slices.Equal(paths, want) {
		t.Errorf("%q, want %q", paths, want)
	}
	if want := []string{"finished/cut off.jpg", "finished/empty.png", "finished/text.tif"}; !slices.Equal(failed, want) {
		t.Errorf("failed %q, want %q", failed, want)
	}

	e.write(ids[2], edit{}, "finished/2.JPG")
	os.Remove(filepath.Join(e.j.Root(), "finished/day/1.jpg"))
	n := 0
	m = e.match(Options{Progress: func(done, total int) { n = total }})
	if m.Read != 4 || n != 4 || len(m.Pictures) != 1 { // what failed is tried again
		t.Errorf("%d read, %d told, %d pictures", m.Read, n, len(m.Pictures))
	}
	kept, err := e.j.ReadOfFinished()
	if err != nil || len(kept) != 1 {
		t.Errorf("%d are remembered, %v", len(kept), err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Match(ctx, e.j, Options{}); err != context.Canceled {
		t.Errorf("%v", err)
	}
}

// The tags that editors copy, written by exiftool, tie a picture that was renamed,
// cropped and made black-and-white.
func TestTags(t *testing.T) {
	exiftool := testneed.Tool(t, "exiftool")
	e := newExporter(t, testjob.Demo(t, smallWedding, true))
	ids := shown(e)
	f := e.frame[ids[3]]
	g := e.frame[ids[5]]
	sidecar := strings.TrimSuffix(g.Files[0].Path, path.Ext(g.Files[0].Path)) + ".xmp"
	tag := func(name string, args ...string) {
		t.Helper()
		out, err := exec.Command(exiftool, append(append([]string{"-q", "-overwrite_original"}, args...), filepath.Join(e.j.Root(), name))...).CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	crop := edit{x: 0.2, y: 0.1, w: 0.55, h: 0.6, grey: true, gamma: 0.7}
	e.write(f.ID, crop, "finished/time.jpg")
	tag("finished/time.jpg", "-DateTimeOriginal="+f.Taken.Wall.Format("2006:01:02 15:04:05"), fmt.Sprintf("-SubSecTimeOriginal=%02d", f.Taken.Wall.Nanosecond()/1e7),
		"-Make="+f.Shot.Make, "-Model="+f.Shot.Model, "-SerialNumber="+f.Shot.Serial)
	e.write(f.ID, crop, "finished/inside.jpg")
	letter := map[string]string{}
	bodies, err := e.j.Bodies()
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range bodies {
		letter[b.Key] = b.Letter
	}
	tag("finished/inside.jpg", "-XMP-xmpMM:DerivedFromFilePath=C:\\work\\0004-"+letter[f.Body]+"-"+path.Base(f.Files[0].Path))
	const document = "xmp.did:5d20f3c1-7e4a-4b0e-9a51-0c9c8f6f1b77"
	e.put(sidecar, []byte(`<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/" xmpMM:DocumentID="`+document+`"/></rdf:RDF></x:xmpmeta>`))
	g.Files = append(slices.Clone(g.Files), cull.File{Path: sidecar, Role: cull.RoleSidecar, Kind: "XMP"})
	if err := e.j.SaveFrames([]cull.Frame{g}); err != nil {
		t.Fatal(err)
	}
	e.write(g.ID, crop, "finished/document.jpg")
	tag("finished/document.jpg", "-XMP-xmpMM:OriginalDocumentID="+document)

	m := e.match(Options{})
	for name, want := range map[string]cull.Frame{"time.jpg": f, "inside.jpg": f, "document.jpg": g} {
		if tie := tieOf(t, m, "finished/"+name); tie.State != Tied || !slices.Equal(tie.Frames, []cull.ID{want.ID}) {
			t.Errorf("%s: %+v, want %s", name, tie, want.Name)
		}
	}
}

// What was said by hand holds against everything, and outlives the catalogue.
func TestByHand(t *testing.T) {
	e := newExporter(t, testjob.Demo(t, smallWedding, true))
	ids := shown(e)
	for i := range 4 {
		e.write(ids[i], edit{}, fmt.Sprintf("finished/a b/%d ö.jpg", i))
	}
	name := func(i int) string { return fmt.Sprintf("finished/a b/%d ö.jpg", i) }
	for _, err := range []error{
		e.j.SetFinished(name(0), ids[7], ids[8]), e.j.SetFinished(name(1)),
		e.j.SetFinished(name(2), ids[9]), e.j.ForgetFinished(name(2)), e.j.ForgetFinished(name(3)),
		e.j.SetFinished(name(3), ids[1]), e.j.SetFinished(name(3), ids[2]),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	check := func(what string, m *Matched) {
		t.Helper()
		for i, want := range []string{"by hand " + fmt.Sprint(ids[7:9]), "foreign []", "", "by hand " + fmt.Sprint(ids[2:3])} {
			tie := tieOf(t, m, name(i))
			if got := fmt.Sprint(tie.State, " ", tie.Frames); want != "" && got != want || want == "" && (tie.State == ByHand || tie.State == Foreign) {
				t.Errorf("%s, %d: %s, want %s", what, i, got, want)
			}
		}
	}
	check("said", e.match(Options{}))

	frames, err := e.j.Frames()
	if err != nil {
		t.Fatal(err)
	}
	layout, err := e.j.AutoLayout()
	if err != nil {
		t.Fatal(err)
	}
	if err := e.j.Close(); err != nil {
		t.Fatal(err)
	}
	os.Remove(filepath.Join(e.j.StateDir(), "catalog.db"))
	j, err := job.Open(e.j.Root(), job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	var list []cull.Frame
	for _, f := range frames {
		list = append(list, f)
	}
	if err := j.SaveFrames(list); err != nil {
		t.Fatal(err)
	}
	if err := j.SaveLayout(layout); err != nil {
		t.Fatal(err)
	}
	e.j = j
	check("from the journal", e.match(Options{}))
}

// What is the same with many pictures is said once.
func TestReportOfOneReason(t *testing.T) {
	r := Report{Profiles: []Profiled{{"finished/1.jpg", "it is 50% off"}, {"finished/2.jpg", "b"}, {"finished/3.jpg", "it is 50% off"}, {"finished/4.jpg", "it is 50% off"}}}
	want := []string{
		"of 3 finished pictures the colours are not sure (it is 50% off): 1.jpg, 3.jpg, 4.jpg",
		"of a finished picture the colours are not sure: 2.jpg (b)",
	}
	if got := r.Lines(nil); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestReport(t *testing.T) {
	frames := two()
	frames[9].Width, frames[9].Height = 6000, 4000
	look := cull.Look{Method: 1, Red: 100, Green: 90, Blue: 80}
	other := look
	other.Grey = true
	cropped := looks(13, "B7")
	cropped[0].Share = 0.5
	pictures := []Picture{
		{Path: "finished/1.jpg", Width: 6000, Height: 4000, HasProfile: true, Profile: "sRGB IEC61966-2.1", Look: look, Likes: looks(2, "A7")},
		{Path: "finished/2.jpg", Width: 2000, Height: 1333, ColorSpace: "sRGB", Look: look, Likes: looks(2, "A7")},
		{Path: "finished/3.jpg", Width: 5990, Height: 3993, HasProfile: true, Profile: "Wide\x1b Gamut", Grey: true, Look: other, Likes: looks(2, "A7")},
		{Path: "finished/4.jpg", Width: 3000, Height: 2000, Look: look, Likes: cropped},
		{Path: "finished/5.jpg", Width: 100, Height: 100, ProfileFault: "describes CMYK, the picture is RGB"},
		{Path: "finished/6.jpg", Width: 6000, Height: 4000, HasProfile: true, Profile: "Compatible with Adobe RGB (1998)", Likes: looks(2, "B1", "B2")},
	}
	for i := range 10 {
		pictures = append(pictures, Picture{Path: fmt.Sprintf("finished/dropped/%02d-A-IMG_0002.jpg", i), Width: 6000, Height: 4000, ColorSpace: "sRGB", Likes: looks(2, "A1", "A2", "A3")})
	}
	frames[0].Answer, frames[1].Answer, frames[4].Answer = cull.Yes, cull.No, cull.Yes
	r := Check(pictures, Find(pictures, frames).Ties, frames)
	r.Unread = []Failure{{Path: "finished/cut.jpg", Reason: "cut off: 9 of 99 rows are there"}}
	names := map[cull.ID]cull.Frame{}
	for _, f := range frames {
		names[f.ID] = cull.Frame{Name: f.Name}
	}
	got := strings.Join(r.Lines(NamesOf(names)), "\n")
	want := strings.Join([]string{
		"a finished picture cannot be read: cut.jpg (cut off: 9 of 99 rows are there)",
		"3 keepers have no finished picture: A/IMG_0001, B/IMG_0002, A/IMG_0004",
		"10 finished pictures show frames that were dropped: dropped/00-A-IMG_0002.jpg (A/IMG_0002), dropped/01-A-IMG_0002.jpg (A/IMG_0002), dropped/02-A-IMG_0002.jpg (A/IMG_0002), dropped/03-A-IMG_0002.jpg (A/IMG_0002), dropped/04-A-IMG_0002.jpg (A/IMG_0002), dropped/05-A-IMG_0002.jpg (A/IMG_0002), dropped/06-A-IMG_0002.jpg (A/IMG_0002), dropped/07-A-IMG_0002.jpg (A/IMG_0002), and 2 more",
		"of a finished picture it is not sure which frame it shows, perhaps the one named: 6.jpg (B/IMG_0002)",
		"a finished picture looks like no frame: 5.jpg",
		"a finished picture is smaller than its frame: 2.jpg (2000x1333, could be 6000 long)",
		"of 3 finished pictures the colours are not sure: 3.jpg (its colour profile is Wide\\x1b Gamut), 4.jpg (it has no colour profile), 5.jpg (its colour profile cannot be used: describes CMYK, the picture is RGB)",
		"of a frame two finished pictures look the same: 1.jpg and 2.jpg",
	}, "\n")
	if got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	if lines := (Report{}).Lines(nil); len(lines) != 0 {
		t.Errorf("all is well: %q", lines)
	}
}

// Sixteen bits, CMYK and what is decoded by rows gives the looks of the same picture
// in a JPEG.
func TestSmallOfEveryKind(t *testing.T) {
	vips := testneed.Tool(t, "vips")
	e := newExporter(t, testjob.Demo(t, smallWedding, true))
	e.write(shown(e)[2], edit{}, "finished/1.jpg")
	from := filepath.Join(e.j.Root(), "finished/1.jpg")
	for _, to := range []string{"16.tif", "8.png", "lzw.tif[compression=lzw]"} {
		args := []string{"copy", from, filepath.Join(e.j.Root(), "finished", to)}
		if to == "16.tif" {
			args = []string{"colourspace", from, args[2], "rgb16"}
		}
		if out, err := exec.Command(vips, args...).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, bytes.TrimSpace(out))
		}
	}
	m := e.match(Options{})
	if len(m.Pictures) != 4 {
		t.Fatalf("%d pictures, %v", len(m.Pictures), m.Failed)
	}
	for _, p := range m.Pictures {
		near := func(a, b uint8) bool { return max(a, b)-min(a, b) <= 3 }
		one := m.Pictures[0].Look
		if !lookSame(&p, &m.Pictures[0]) || !near(p.Look.Red, one.Red) || !near(p.Look.Green, one.Green) || !near(p.Look.Blue, one.Blue) {
			t.Errorf("%s: %v, want %v", p.Path, p.Look, one)
		}
	}
}

// Keepers are those that are handed over: what the rescue took back is one that lacks its
// picture, and what the review took out is none.
func TestKeepersOfTheRescue(t *testing.T) {
	e := newExporter(t, testjob.Demo(t, 4, true))
	ids := slices.Sorted(maps.Keys(e.frame))
	answer := func(pass string, id cull.ID, a cull.Answer) cull.Entry {
		return cull.Entry{Verb: cull.VerbAnswer, Pass: pass, Changes: []cull.Change{{Frame: id, After: a, Shown: true, Explicit: true}}}
	}
	_, err := e.j.Append(
		cull.Entry{Verb: cull.VerbPass, Args: []string{cull.ReviewPass, "from", cull.KeepPass, "yes", "Still in?"}},
		cull.Entry{Verb: cull.VerbPass, Args: []string{cull.RescuePass, "from", cull.KeepPass, "no", "Take it back?"}},
		answer(cull.KeepPass, ids[0], cull.No), answer(cull.RescuePass, ids[0], cull.Yes),
		answer(cull.KeepPass, ids[1], cull.Yes), answer(cull.ReviewPass, ids[1], cull.No))
	if err != nil {
		t.Fatal(err)
	}
	if got := e.match(Options{}).Report.Missing; !slices.Equal(got, ids[:1]) {
		t.Errorf("%v lack their pictures, want %v", got, ids[:1])
	}
}
