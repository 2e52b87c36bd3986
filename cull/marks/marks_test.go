package marks

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/handoff"
	"garner/cull/job"
)

func id(n int) cull.ID { return cull.ID(fmt.Sprintf("%016x", 0xabc000+n)) }

// A rating is -1 or 0 to 5, and a missing one counts as 0 (ISO 16684-1 §8.4).
func TestExpr(t *testing.T) {
	rated := func(n int) cull.Frame { return cull.Frame{Shot: cull.Shot{Rating: n}} }
	for text, want := range map[string]string{ // the camera's ratings -1 to 5 for which it holds
		"camera-rating>=3": "3 4 5", "camera-rating=0": "0", "camera-rating<=2": "-1 0 1 2", "camera-rating<0": "-1",
		"camera-rating>4": "5", " camera-rating >= 5 ": "5", "camera-rating=-1": "-1", "camera-rating>=2.5": "3 4 5",
	} {
		e, err := Parse(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		var got []string
		for n := -1; n <= 5; n++ {
			if e.Of(rated(n), &Sidecar{Rating: 5}) {
				got = append(got, fmt.Sprint(n))
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%q holds for %v, want %s", text, got, want)
		}
		if again, err := Parse(e.String()); err != nil || again != e {
			t.Errorf("%q is spelled %q", text, e)
		}
	}
	side, err := Parse("sidecar-rating<=5")
	if err != nil || side.Of(rated(5), nil) || !side.Of(rated(0), &Sidecar{Rating: 0}) || !side.Sidecars() {
		t.Errorf("a frame without a sidecar's rating: %v", err)
	}
	half, err := Parse("sidecar-rating=2.5")
	if err != nil || !half.Of(rated(0), &Sidecar{Rating: 2.5}) {
		t.Errorf("fractions: %v", err)
	}
	locked, err := Parse("protected")
	if err != nil || locked.Of(rated(5), nil) || !locked.Of(cull.Frame{Shot: cull.Shot{Protected: true}}, nil) {
		t.Errorf("protected: %v", err)
	}
	for _, bad := range []string{"", "rating>=3", "camera-rating", "camera-rating>=", "camera-rating=>3", "camera-rating=6", "camera-rating=-2",
		"camera-rating=-0.5", "camera-rating=5.5", "camera-rating==3", "camera-rating!=3", "protected=1", "camera-rating>=3 protected", "camera-rating>=3\nx"} {
		if e, err := Parse(bad); err == nil {
			t.Errorf("%q is %v", bad, e)
		}
	}
}

func TestWords(t *testing.T) {
	f := cull.Frame{Shot: cull.Shot{Rating: 3, Protected: true}}
	if got := strings.Join(Words(f, &Sidecar{Rating: 4}), ", "); got != "rated 3 in the body, protected in the body, rated 4 in the sidecar" {
		t.Error(got)
	}
	if got := Words(cull.Frame{}, &Sidecar{}); len(got) != 0 {
		t.Errorf("no marks: %q", got)
	}
	if got := strings.Join(Words(cull.Frame{Shot: cull.Shot{Rating: -1}}, &Sidecar{Rating: -1}), ", "); got != "marked as unwanted in the body, marked as unwanted in the sidecar" {
		t.Error(got)
	}
}

// weddingJob is a job of n frames with a file each, and sidecars with ratings.
type weddingJob struct {
	*job.Job
	t   *testing.T
	dir string
}

func newJob(t *testing.T, n int) *weddingJob {
	t.Helper()
	w := &weddingJob{t: t, dir: t.TempDir()}
	w.open()
	l := cull.Layout{Scenes: []cull.Scene{{ID: 0, Name: "01", First: id(1)}}}
	for i := 1; i <= n; i++ {
		l.Places = append(l.Places, cull.Place{Frame: id(i), Moment: i - 1})
		w.write(fmt.Sprintf("F_%02d.DNG", i), strings.Repeat("x", i))
	}
	w.scan(n)
	if err := w.SaveLayout(l); err != nil {
		t.Fatal(err)
	}
	return w
}

func (w *weddingJob) open() {
	w.t.Helper()
	at := time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)
	j, err := job.Open(w.dir, job.Options{Who: "anna", Now: func() time.Time { at = at.Add(time.Second); return at }})
	if err != nil {
		w.t.Fatal(err)
	}
	w.t.Cleanup(func() { j.Close() })
	w.Job = j
}

func (w *weddingJob) write(name, text string) {
	w.t.Helper()
	if err := os.WriteFile(filepath.Join(w.dir, name), []byte(text), 0o666); err != nil {
		w.t.Fatal(err)
	}
}

// scan saves the frames with the files that are there, as prepare would.
func (w *weddingJob) scan(n int) {
	w.t.Helper()
	var frames []cull.Frame
	for i := 1; i <= n; i++ {
		f := cull.Frame{ID: id(i), Name: fmt.Sprintf("F_%02d", i), Kind: "DNG"}
		for _, ext := range []string{".DNG", ".DNG.xmp", ".xmp"} {
			info, err := os.Stat(filepath.Join(w.dir, f.Name+ext))
			if err != nil {
				continue
			}
			file := cull.File{Path: f.Name + ext, Role: cull.RoleMain, Kind: "DNG", Size: info.Size(), Mod: info.ModTime()}
			if ext != ".DNG" {
				file.Role, file.Kind = cull.RoleSidecar, "XMP"
			}
			f.Files = append(f.Files, file)
		}
		frames = append(frames, f)
	}
	if err := w.SaveFrames(frames); err != nil {
		w.t.Fatal(err)
	}
}

// ratings are those of the sidecars by frame, as "3:4 5:2.5".
func (w *weddingJob) ratings(n int) string {
	w.t.Helper()
	w.scan(n)
	frames, err := w.Frames()
	if err != nil {
		w.t.Fatal(err)
	}
	if err := Refresh(context.Background(), w.Job, maps.Values(frames)); err != nil {
		w.t.Fatal(err)
	}
	all, err := Sidecars(w.Job)
	if err != nil {
		w.t.Fatal(err)
	}
	var out []string
	for i := 1; i <= n; i++ {
		if s, ok := all[id(i)]; ok {
			out = append(out, fmt.Sprintf("%d:%v", i, s.Rating))
		}
	}
	return strings.Join(out, " ")
}

func packet(rating string) string {
	return `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/"><xmp:Rating>` +
		rating + `</xmp:Rating></rdf:Description></rdf:RDF></x:xmpmeta>`
}

func (w *weddingJob) keep(n ...int) {
	w.t.Helper()
	s, err := w.Session()
	if err != nil {
		w.t.Fatal(err)
	}
	var ids []cull.ID
	for _, i := range n {
		ids = append(ids, id(i))
	}
	e, err := s.Plan(cull.Decide{Pass: cull.KeepPass, Frames: ids, Answer: cull.Yes}, time.Date(2026, 6, 13, 18, 0, 0, 0, time.UTC), "anna")
	if err == nil {
		_, err = w.Append(e)
	}
	if err != nil {
		w.t.Fatal(err)
	}
}

func (w *weddingJob) handoff(replace bool) {
	w.t.Helper()
	if _, err := handoff.Run(context.Background(), w.Job, handoff.Options{Rating: 2, Replace: replace}); err != nil {
		w.t.Fatal(err)
	}
}

// What garner wrote itself is no mark; what was there before stays one, also where a
// handoff was told to replace it, and what somebody writes afterwards is one.
func TestSidecarsAreOthers(t *testing.T) {
	const n = 6
	w := newJob(t, n)
	w.write("F_02.xmp", packet("4"))
	w.write("F_03.DNG.xmp", packet("2.5"))
	w.write("F_04.xmp", packet("6")) // no rating (CHECKS, XMP Part 1 §8.4)
	w.write("F_05.xmp", "no XMP at all")
	w.write("F_06.xmp", packet("1"))
	const before = "2:4 3:2.5 6:1"
	if got := w.ratings(n); got != before {
		t.Fatalf("before: %s", got)
	}
	w.keep(1, 2, 3)
	w.handoff(false)
	if got := w.ratings(n); got != before {
		t.Errorf("after a handoff: %s", got)
	}
	w.handoff(true)
	if got := w.ratings(n); got != before {
		t.Errorf("after one that replaced: %s", got)
	}
	w.write("F_01.xmp", packet("5"))
	w.write("F_06.xmp", packet("0"))
	if got := w.ratings(n); got != "1:5 2:4 3:2.5 6:0" {
		t.Errorf("somebody rated after it: %s", got)
	}
	if err := os.Remove(filepath.Join(w.dir, "F_02.xmp")); err != nil {
		t.Fatal(err)
	}
	if got := w.ratings(n); got != "1:5 3:2.5 6:0" {
		t.Errorf("without the sidecar: %s", got)
	}
}

// Without the folder in which the job remembers, or with another one, the ratings of
// handoffs are known by their form; whoever rates anew afterwards keeps the rest of it,
// and that is somebody's mark where it is known what we wrote.
func TestSidecarsOfAnotherCopy(t *testing.T) {
	w := newJob(t, 3)
	w.write("F_02.xmp", packet("4"))
	w.keep(1, 2)
	w.handoff(false)
	handed, err := os.ReadFile(filepath.Join(w.dir, "F_01.xmp"))
	if err != nil {
		t.Fatal(err)
	}
	raised := strings.Replace(string(handed), "<xmp:Rating>2<", "<xmp:Rating>5<", 1)
	if raised == string(handed) {
		t.Fatalf("no rating in\n%s", handed)
	}
	w.write("F_01.xmp", raised)
	if got := w.ratings(3); got != "1:5 2:4" {
		t.Errorf("rated after a handoff: %s", got)
	}
	w.write("F_01.xmp", string(handed))
	if err := os.RemoveAll(filepath.Join(w.dir, ".garner")); err != nil {
		t.Fatal(err)
	}
	w.open()
	if got := w.ratings(3); got != "2:4" {
		t.Errorf("without what was remembered: %s", got)
	}
}

// With the catalogue goes what is known of handoffs; the journal tells which of the
// sidecars are ours.
func TestSidecarsAfterALostCatalogue(t *testing.T) {
	w := newJob(t, 3)
	w.write("F_02.xmp", packet("4"))
	w.keep(1, 2)
	w.handoff(false)
	if err := os.Remove(filepath.Join(w.dir, ".garner", "catalog.db")); err != nil {
		t.Fatal(err)
	}
	w.open()
	if got := w.ratings(3); got != "2:4" {
		t.Errorf("%s", got)
	}
}

// A sidecar that did not change is not read again.
func TestRefreshReadsOnce(t *testing.T) {
	w := newJob(t, 2)
	w.write("F_01.xmp", packet("4"))
	if got := w.ratings(2); got != "1:4" {
		t.Fatal(got)
	}
	path := filepath.Join(w.dir, "F_01.xmp")
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	w.write("F_01.xmp", packet("3"))
	if err := os.Chtimes(path, info.ModTime(), info.ModTime()); err != nil {
		t.Fatal(err)
	}
	if got := w.ratings(2); got != "1:4" {
		t.Errorf("read though size and time are the same: %s", got)
	}
}

// Whatever was decided before, in whatever way: a choice touches nothing that was
// decided by itself, and one undo takes all of it back.
func TestChoose(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	w := newJob(t, 30)
	frames, err := w.Frames()
	if err != nil {
		t.Fatal(err)
	}
	var all []cull.Frame
	for _, f := range frames {
		f.Shot.Rating = r.IntN(7) - 1
		all = append(all, f)
	}
	if err := w.SaveFrames(all); err != nil {
		t.Fatal(err)
	}
	s, err := w.Session()
	if err != nil {
		t.Fatal(err)
	}
	for range 25 {
		frame, answer := id(1+r.IntN(30)), []cull.Answer{cull.Yes, cull.No, cull.Part, cull.Open}[r.IntN(4)]
		var a cull.Action = cull.Decide{Pass: cull.KeepPass, Frames: []cull.ID{frame}, Answer: answer}
		if r.IntN(2) == 0 {
			a = cull.DecideBurst{Pass: cull.KeepPass, Frame: frame, Answer: answer}
		}
		e, err := s.Plan(a, time.Now(), "anna")
		if err != nil {
			continue
		}
		if err := s.Commit(e); err != nil {
			t.Fatal(err)
		}
		if _, err := w.Append(e); err != nil {
			t.Fatal(err)
		}
	}
	e, err := Parse("camera-rating>=2")
	if err != nil {
		t.Fatal(err)
	}
	c, err := Choose(context.Background(), w.Job, e, cull.Yes)
	if err != nil {
		t.Fatal(err)
	}
	if c.Matching != len(c.Frames)+c.Stands+c.Decided {
		t.Errorf("seed %d: %+v does not add up", seed, c)
	}
	rating := map[cull.ID]int{}
	for _, f := range all {
		rating[f.ID] = f.Shot.Rating
	}
	for i := 1; i <= 30; i++ {
		d := s.Decision(cull.KeepPass, id(i))
		byItself := d.Answer == cull.Part || d.Answer != cull.Open && d.Explicit
		if want := rating[id(i)] >= 2 && !byItself; slices.Contains(c.Frames, id(i)) != want {
			t.Errorf("seed %d: frame %d, rated %d, %+v: chosen is not %v", seed, i, rating[id(i)], d, want)
		}
	}
	if lines := c.Lines(cull.No); len(c.Frames) > 0 && (len(lines) != 1 || !strings.HasPrefix(lines[0], "drop #")) {
		t.Errorf("%q", lines)
	}
	many := Choice{Frames: make([]cull.ID, cull.MaxChanges+1)}
	for i := range many.Frames {
		many.Frames[i] = id(i)
	}
	if lines := many.Lines(cull.Yes); len(lines) != 2 || len(lines[0]) > cull.MaxLine {
		t.Errorf("%d lines of %d bytes", len(lines), len(lines[0]))
	}
}
