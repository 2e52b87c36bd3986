package job_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"garner/cull"
	"garner/cull/job"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

var begin = time.Date(2026, 6, 13, 14, 2, 11, 130e6, time.UTC)

func frameID(i int) cull.ID { return cull.ID(fmt.Sprintf("%016x", uint64(i+1)*0x9e3779b97f4a7c15)) }

func sampleFrame(i int) cull.Frame {
	name := fmt.Sprintf("A/IMG_%04d", i)
	bias, flash := -1.0/3, false
	at := begin.Add(time.Duration(i) * 700 * time.Millisecond)
	return cull.Frame{
		ID: frameID(i), Name: name, Kind: "CR3", Body: "serial:Camera Six:0120",
		Files: []cull.File{{Path: name + ".CR3", Role: cull.RoleMain, Kind: "CR3", Size: 25e6, Mod: at, Head: fmt.Sprintf("%064x", i)}},
		Taken: cull.Stamp{Wall: at, Digits: 2, Zone: 120, ZoneIs: cull.ZoneKnown},
		Shot: cull.Shot{Orientation: 6, Seconds: 1.0 / 250, FNumber: 2.8, ISO: 1600, Bias: &bias, Flash: &flash, Lens: "85 mm f/1.4",
			Make: "Maker", Model: "Camera Six", Serial: "0120", Width: 6000, Height: 4000, Counter: int64(i)},
		Previews:    []cull.Preview{{File: name + ".CR3", Role: "full", Offset: 65536, Length: 4e6, Width: 6000, Height: 4000, Whole: true}},
		Fingerprint: 0x0123456789abcdef, HasFingerprint: true, Luma: 0.42,
		Problems: []cull.Problem{{Code: "no-zone", Text: "the file carries no zone"}},
	}
}

// moments of four frames, scenes of twelve.
func sampleLayout(n int) cull.Layout {
	var l cull.Layout
	for i := range n {
		if i%12 == 0 {
			l.Scenes = append(l.Scenes, cull.Scene{ID: i / 12, Name: cull.SceneNumber(i / 12), First: frameID(i)})
		}
		p := cull.Place{Frame: frameID(i), Moment: i / 4, Kind: cull.Burst, Scene: i / 12, Corrected: sampleFrame(i).Taken}
		if i%24 >= 16 { // the last moments of every other scene
			p.Kind, p.Series, p.Alike = cull.Series, cull.Panorama, i/24+1
		}
		l.Places = append(l.Places, p)
	}
	return l
}

func options() job.Options {
	now := begin
	var mu sync.Mutex
	return job.Options{Who: "anna", Command: "decide", Now: func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		now = now.Add(1500 * time.Millisecond)
		return now
	}}
}

func open(t testing.TB, dir string) *job.Job {
	t.Helper()
	j, err := job.Open(dir, options())
	must(t, err)
	return j
}

// sample makes a job of n frames; when the test ends it is checked.
func sample(t testing.TB, n int) *job.Job {
	t.Helper()
	dir := t.TempDir()
	j := open(t, dir)
	fill(t, j, n)
	t.Cleanup(func() { sound(t, j) })
	return j
}

func fill(t testing.TB, j *job.Job, n int) {
	t.Helper()
	frames := make([]cull.Frame, n)
	for i := range frames {
		frames[i] = sampleFrame(i)
	}
	must(t, j.SaveFrames(frames))
	must(t, j.SaveLayout(sampleLayout(n)))
}

// sound fails the test for whatever Check finds.
func sound(t testing.TB, j *job.Job) {
	t.Helper()
	found, err := j.Check()
	if err != nil {
		t.Errorf("check: %v", err)
	}
	for _, f := range found {
		t.Errorf("check: %s", f)
	}
}

// do plans an action, makes it durable and commits it, as every program does.
func do(t testing.TB, j *job.Job, s *cull.Session, a cull.Action) (cull.Entry, error) {
	t.Helper()
	e, err := s.Plan(a, begin.Add(time.Hour+time.Duration(s.LastSeq())*time.Second), "anna")
	if err != nil {
		return e, err
	}
	kept, err := j.Append(e)
	must(t, err)
	must(t, s.Commit(kept[0]))
	return kept[0], nil
}

func session(t testing.TB, j *job.Job) *cull.Session {
	t.Helper()
	s, err := j.Session()
	must(t, err)
	return s
}

// everything a person decided, to compare before and after.
func decided(t testing.TB, j *job.Job) map[string]map[cull.ID]cull.Decision {
	t.Helper()
	passes, err := j.Passes()
	must(t, err)
	all := map[string]map[cull.ID]cull.Decision{}
	for _, p := range passes {
		d, err := j.Decisions(p.Name)
		must(t, err)
		all[p.Name] = d
	}
	return all
}

func same(t testing.TB, what string, want, got any) {
	t.Helper()
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("%s: %s", what, d)
	}
}

func TestANewJob(t *testing.T) {
	dir := t.TempDir()
	if _, err := job.Open(dir, job.Options{ReadOnly: true}); !errors.Is(err, job.ErrNoJob) {
		t.Errorf("a folder that is no job, to be read: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, ".garner")); !os.IsNotExist(err) {
		t.Errorf("reading made something: %v", err)
	}
	j := open(t, dir)
	if !j.NeedsScan() || len(j.Recovered()) != 0 {
		t.Errorf("scan %v, recovered %q", j.NeedsScan(), j.Recovered())
	}
	if want := filepath.Join(dir, ".garner"); j.StateDir() != want || j.Root() != dir || j.CacheDir() != filepath.Join(want, "cache") {
		t.Errorf("%s %s %s", j.Root(), j.StateDir(), j.CacheDir())
	}
	sound(t, j)
	must(t, j.Close())
	for _, dir := range []string{filepath.Join(dir, "none"), filepath.Join(dir, ".garner", "catalog.db")} {
		if _, err := job.Open(dir, options()); err == nil {
			t.Errorf("%s was opened as a job", dir)
		}
	}
}

func TestStateElsewhere(t *testing.T) {
	dir, state := t.TempDir(), filepath.Join(t.TempDir(), "state")
	o := options()
	o.State = state
	j, err := job.Open(dir, o)
	must(t, err)
	fill(t, j, 3)
	if entries, _ := os.ReadDir(dir); len(entries) != 0 {
		t.Errorf("the job's folder has %v", entries)
	}
	if j, err = job.Open(dir, o); err != nil || j.NeedsScan() || j.StateDir() != state {
		t.Errorf("%v", err)
	}
}

func TestFramesComeBack(t *testing.T) {
	j := sample(t, 5)
	frames, err := j.Frames()
	must(t, err)
	want := map[cull.ID]cull.Frame{}
	for i := range 5 {
		want[frameID(i)] = sampleFrame(i)
	}
	same(t, "frames", want, frames)
	l, err := j.Layout()
	must(t, err)
	same(t, "layout", sampleLayout(5), l)
	if j.NeedsScan() {
		t.Error("a job with frames wants a scan")
	}
}

func TestNamesThatAreNotUTF8(t *testing.T) {
	j := sample(t, 1)
	raw := "B/\xff\xfe\xc3(\n\x1b[31m.CR3"
	f := sampleFrame(9)
	f.Name, f.Files[0].Path, f.Previews[0].File = raw[:len(raw)-4], raw, raw
	must(t, j.SaveFrames([]cull.Frame{f}))
	must(t, j.SaveOthers([]job.Other{{Path: raw + ".txt", Why: "no picture"}}))
	must(t, j.SetWrote(map[string][]byte{raw + ".xmp": {1}}))
	must(t, j.RecordManifest(map[string]job.Sum{raw: {1}}))
	j = open(t, j.Root())
	frames, err := j.Frames()
	must(t, err)
	same(t, "frame", f, frames[f.ID])
	paths, err := j.Paths()
	must(t, err)
	if p := paths[raw]; p.Frame != f.ID || p.Size != 25e6 || !p.Mod.Equal(f.Files[0].Mod) || p.Head != f.Files[0].Head {
		t.Errorf("%+v", p)
	}
	others, err := j.Others()
	must(t, err)
	if len(others) != 1 || others[0].Path != raw+".txt" {
		t.Errorf("%q", others)
	}
	if _, ok, err := j.Wrote(raw + ".xmp"); !ok || err != nil {
		t.Errorf("%v %v", ok, err)
	}
	sums, err := j.Manifest()
	must(t, err)
	if sums[raw] != (job.Sum{1}) {
		t.Errorf("%q", sums)
	}
	if _, err := do(t, j, session(t, j), cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(0)}, Answer: cull.Yes}); err != nil {
		t.Error(err)
	}
}

func TestFilesMoveAndVanish(t *testing.T) {
	j := sample(t, 4)
	if _, err := do(t, j, session(t, j), cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(0), frameID(1)}, Answer: cull.Yes}); err != nil {
		t.Fatal(err)
	}
	moved := sampleFrame(0).Files
	moved[0].Path = "B/renamed.CR3"
	must(t, j.ReplaceFiles(map[cull.ID][]cull.File{frameID(0): moved, frameID(1): nil}))
	frames, err := j.Frames()
	must(t, err)
	if f := frames[frameID(0)]; f.Files[0].Path != "B/renamed.CR3" || f.Previews[0].File != "B/renamed.CR3" {
		t.Errorf("%+v", f)
	}
	if f := frames[frameID(1)]; len(f.Files) != 0 || len(f.Previews) != 0 || f.Name != "A/IMG_0001" {
		t.Errorf("%+v", f)
	}
	paths, err := j.Paths()
	must(t, err)
	if len(paths) != 3 || paths["B/renamed.CR3"].Frame != frameID(0) {
		t.Errorf("%v", paths)
	}
	d, err := j.Decisions("keep")
	must(t, err)
	if len(d) != 2 || d[frameID(1)].Answer != cull.Yes {
		t.Errorf("%v", d)
	}
	if err := j.ReplaceFiles(map[cull.ID][]cull.File{"nobody": nil}); !errors.Is(err, cull.ErrUnknownFrame) {
		t.Errorf("%v", err)
	}
	// Another exposure under a path that a frame had: the frame stays, without it.
	other := sampleFrame(2)
	other.ID = frameID(77)
	must(t, j.SaveFrames([]cull.Frame{other}))
	frames, err = j.Frames()
	must(t, err)
	if len(frames[frameID(2)].Files) != 0 || len(frames[frameID(77)].Files) != 1 {
		t.Errorf("%+v", frames[frameID(2)])
	}
}

// More was learned of a frame: its decisions belong to the new id, in the
// standing answers as in a session, and undo still finds them.
func TestAnAliasTakesItsDecisionsAlong(t *testing.T) {
	j := sample(t, 8)
	s := session(t, j)
	for _, a := range []cull.Action{
		cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(0)}, Answer: cull.Yes, Shown: true},
		cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(0), frameID(1)}, Answer: cull.No},
	} {
		if _, err := do(t, j, s, a); err != nil {
			t.Fatal(err)
		}
	}
	must(t, j.PutEvidence("sharp", map[cull.ID][]byte{frameID(0): {7}}))
	learned := sampleFrame(0)
	learned.ID, learned.Aliases = "00000000000000ff", []cull.ID{frameID(0)}
	must(t, j.SaveFrames([]cull.Frame{learned}))
	l := sampleLayout(8)
	l.Places[0].Frame, l.Scenes[0].First = learned.ID, learned.ID
	must(t, j.SaveLayout(l))

	d, err := j.Decisions("keep")
	must(t, err)
	if len(d) != 2 || d[learned.ID].Answer != cull.No {
		t.Errorf("%v", d)
	}
	if e, err := j.Evidence("sharp"); err != nil || len(e) != 1 || e[learned.ID] == nil {
		t.Errorf("%v %v", e, err)
	}
	s = session(t, j)
	if got := s.Decision("keep", learned.ID); got.Answer != cull.No {
		t.Errorf("%+v", got)
	}
	sound(t, j)
	if _, err := do(t, j, s, cull.Undo{}); err != nil {
		t.Fatal(err)
	}
	d, err = j.Decisions("keep")
	must(t, err)
	if got := d[learned.ID]; len(d) != 1 || got.Answer != cull.Yes || !got.Shown || got.Seq != 1 {
		t.Errorf("%+v", d)
	}
	// And again more, which makes a chain of names.
	last := learned
	last.ID, last.Aliases = "00000000000000fe", []cull.ID{learned.ID}
	must(t, j.SaveFrames([]cull.Frame{last}))
	l.Places[0].Frame, l.Scenes[0].First = last.ID, last.ID
	must(t, j.SaveLayout(l))
	if a, err := j.Aliases(); err != nil || a[frameID(0)] != last.ID || a[learned.ID] != last.ID {
		t.Errorf("%v %v", a, err)
	}
	if got := session(t, j).Decision("keep", frameID(0)); got.Answer != cull.Yes {
		t.Errorf("%+v", got)
	}
}

func TestBodies(t *testing.T) {
	j := sample(t, 1)
	zone := -210
	must(t, j.SaveBodies([]cull.Body{{Key: "k1", Make: "Maker", Model: "Six", Serial: "1"}, {Key: "k2", Model: "Six"}, {Key: "k3"}}))
	from := time.Date(2026, 6, 13, 12, 0, 0, 5e6, time.UTC)
	_, err := j.Append(job.Letter("k2", "A"), job.Letter("k1", "B"),
		job.SetOffset("k1", cull.Offset{Add: 7*time.Minute + 20*time.Second}),
		job.SetOffset("k1", cull.Offset{From: from, Add: -time.Hour - 500*time.Millisecond, Zone: &zone}),
		job.SetOffset("k2", cull.Offset{Add: time.Second}), job.DropOffset("k2", time.Time{}),
		job.SetOffset("k1", cull.Offset{Add: 7*time.Minute + 21*time.Second}))
	must(t, err)
	bodies, err := open(t, j.Root()).Bodies()
	must(t, err)
	same(t, "bodies", []cull.Body{
		{Key: "k2", Letter: "A", Model: "Six", Offsets: []cull.Offset{}},
		{Key: "k1", Letter: "B", Make: "Maker", Model: "Six", Serial: "1", Offsets: []cull.Offset{
			{Add: 7*time.Minute + 21*time.Second}, {From: from, Add: -time.Hour - 500*time.Millisecond, Zone: &zone},
		}},
		{Key: "k3"},
	}, bodies)
	for _, bad := range [][]string{{}, {"k"}, {"k", "start"}, {"k", "yesterday", "1s"}, {"k", "start", "soon"}, {"k", "start", "1s", "+2:00"}, {"k", "start", "1s", "+02:60"}} {
		if _, _, _, err := job.ParseOffset(bad); err == nil {
			t.Errorf("%q is an offset", bad)
		}
	}
}

func TestPassesAndCounts(t *testing.T) {
	j := sample(t, 24)
	s := session(t, j)
	for _, a := range []cull.Action{
		cull.DecideBurst{Pass: "keep", Frame: frameID(0), Answer: cull.Yes},
		cull.Only{Pass: "keep", Frame: frameID(5)},
		cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(8)}, Answer: cull.Part},
		cull.DefinePass{Pass: cull.Pass{Name: "retouch", Question: "retouch it?", Source: cull.Source{Of: "keep", Answer: cull.Yes}}},
		cull.DefinePass{Pass: cull.Pass{Name: "album", Source: cull.Source{Of: "retouch", Answer: cull.Yes}}},
		cull.Decide{Pass: "retouch", Frames: []cull.ID{frameID(0), frameID(1)}, Answer: cull.Yes},
		cull.Decide{Pass: "album", Frames: []cull.ID{frameID(1)}, Answer: cull.No},
		cull.NameScene{Frame: frameID(13), Name: "church"},
	} {
		if _, err := do(t, j, s, a); err != nil {
			t.Fatalf("%#v: %v", a, err)
		}
	}
	passes, err := j.Passes()
	must(t, err)
	same(t, "passes", s.Passes(), passes)
	c, err := j.Counts()
	must(t, err)
	if c.Frames != 24 || c.Moments != 6 || c.Scenes != 2 || c.Entries != 8 || len(c.Passes) != 3 {
		t.Errorf("%+v", c)
	}
	for i, p := range passes {
		want := s.Progress(p.Name)
		if got := c.Passes[i]; got.Pass != p || (cull.Counts{Yes: got.Yes, No: got.No, Part: got.Part, Open: got.Open}) != want {
			t.Errorf("%s: %+v, the session says %+v", p.Name, got, want)
		}
	}
	for name := range decided(t, j) {
		d, err := j.Decisions(name)
		must(t, err)
		same(t, name, s.Decisions(name), d)
	}
	if corrections, err := j.Corrections(); err != nil || len(corrections) != 3 {
		t.Errorf("%v %v", corrections, err)
	}
	again := session(t, j)
	if again.Layout().Scenes[1].Name != "church" || again.LastSeq() != 8 {
		t.Errorf("%+v", again.Layout().Scenes)
	}
}

// An entry in a pass that nobody defined, as after the loss of a line.
func TestAPassWhoseLineWasLost(t *testing.T) {
	j := sample(t, 3)
	_, err := j.Append(cull.Entry{Verb: cull.VerbAnswer, Pass: "rescue", Changes: []cull.Change{{Frame: frameID(1), After: cull.Yes}}})
	must(t, err)
	passes, err := j.Passes()
	must(t, err)
	if len(passes) != 2 || passes[1].Name != "rescue" {
		t.Errorf("%v", passes)
	}
}

func TestReadOnly(t *testing.T) {
	j := sample(t, 4)
	if _, err := do(t, j, session(t, j), cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(0)}, Answer: cull.Yes}); err != nil {
		t.Fatal(err)
	}
	journal := filepath.Join(j.StateDir(), "journal.txt")
	must(t, os.Remove(journal))
	r, err := job.Open(j.Root(), job.Options{ReadOnly: true})
	must(t, err)
	if d, err := r.Decisions("keep"); err != nil || len(d) != 1 {
		t.Errorf("%v %v", d, err)
	}
	if _, err := r.Append(job.Letter("k", "A")); err == nil {
		t.Error("it decided")
	}
	for name, err := range map[string]error{
		"frames": r.SaveFrames(nil), "layout": r.SaveLayout(cull.Layout{}), "bodies": r.SaveBodies(nil), "others": r.SaveOthers(nil),
		"evidence": r.PutEvidence("m", nil), "measures": r.SaveMeasures(nil), "faces": r.SetFaces(true), "forgotten faces": r.ForgetFaces(), "wrote": r.SetWrote(nil), "files": r.ReplaceFiles(nil),
	} {
		if err == nil {
			t.Errorf("it saved %s", name)
		}
	}
	if _, err := r.Claim(); err == nil {
		t.Error("it was claimed")
	}
	if err := r.RecordManifest(map[string]job.Sum{"a": {}}); err == nil {
		t.Error("it wrote a manifest")
	}
	if _, err := os.Stat(journal); !os.IsNotExist(err) {
		t.Errorf("it wrote the journal: %v", err)
	}
	open(t, j.Root())
}

func TestAppendFillsIn(t *testing.T) {
	j := sample(t, 2)
	kept, err := j.Append(cull.Entry{Seq: 99, Verb: cull.VerbCorrect, Args: []string{"x"}}, cull.Entry{Verb: cull.VerbCorrect, Args: []string{"y"}, Who: "ben"})
	must(t, err)
	if len(kept) != 2 || kept[0].Seq != 1 || kept[1].Seq != 2 || kept[0].Who != "anna" || kept[1].Who != "ben" || kept[0].At.IsZero() {
		t.Errorf("%+v", kept)
	}
	entries, err := j.Entries()
	must(t, err)
	same(t, "entries", kept, entries)
	if kept, err := j.Append(); kept != nil || err != nil {
		t.Errorf("%v %v", kept, err)
	}
	// What can't be read back is refused, and takes nothing else with it.
	if _, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{strings.Repeat("x", cull.MaxLine)}}); err == nil {
		t.Error("a line that is too long was kept")
	}
	if entries, err = j.Entries(); err != nil || len(entries) != 2 {
		t.Errorf("%v %v", entries, err)
	}
}

func TestSeveralAppendAtOnce(t *testing.T) {
	j := sample(t, 2)
	var wg sync.WaitGroup
	var mu sync.Mutex
	seen := map[uint64]string{}
	for w := range 8 {
		wg.Go(func() {
			for i := range 10 {
				text := fmt.Sprintf("%d-%d", w, i)
				kept, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{text}}, cull.Entry{Verb: cull.VerbCorrect, Args: []string{text + "b"}})
				if w == 3 && i == 5 { // one that can't be kept hurts nobody else
					if _, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{strings.Repeat("x", cull.MaxLine)}}); err == nil {
						t.Error("kept")
					}
				}
				if err != nil || kept[1].Seq != kept[0].Seq+1 {
					t.Errorf("%v %v", kept, err)
					return
				}
				mu.Lock()
				seen[kept[0].Seq], seen[kept[1].Seq] = text, text+"b"
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	entries, err := j.Entries()
	must(t, err)
	if len(entries) != 160 || len(seen) != 160 {
		t.Fatalf("%d entries, %d numbers", len(entries), len(seen))
	}
	for _, e := range entries {
		if seen[e.Seq] != e.Args[0] {
			t.Errorf("entry %d is %s, acknowledged as %s", e.Seq, e.Args[0], seen[e.Seq])
		}
	}
}
