package reopen

import (
	"context"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"garner/cull"
	"garner/cull/closing"
	"garner/cull/closing/record"
	"garner/cull/handoff"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/store/volume"
	"garner/testdata/testjob"
)

const demoFrames = 24

// bench is a job of which half is dropped, handed off, and a bag of it.
type bench struct {
	t        *testing.T
	dir, bag string
	broken   int // frames that cannot be shown
}

func newBench(t *testing.T) *bench {
	t.Helper()
	b := &bench{t: t, dir: testjob.Demo(t, demoFrames, true)}
	j := b.open(b.dir)
	defer j.Close()
	b.prepare(j)
	b.decide(j)
	b.handOver(j)
	b.broken = b.prepare(j).Failed // takes in the sidecars, which the lists name from then on
	b.handOver(j)
	b.bag = b.archive(j, filepath.Join(t.TempDir(), "shelf"))
	return b
}

func (b *bench) must(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) open(dir string) *job.Job {
	b.t.Helper()
	j, err := job.Open(dir, job.Options{Who: "anna"})
	b.must(err)
	return j
}

func (b *bench) prepare(j *job.Job) prepare.Summary {
	b.t.Helper()
	sum, err := prepare.Run(context.Background(), j, prepare.Options{Workers: 2})
	b.must(err)
	return sum
}

// decide answers for most frames, in two passes, and corrects what was grouped.
func (b *bench) decide(j *job.Job) {
	b.t.Helper()
	s, err := j.Session()
	b.must(err)
	at := time.Date(2026, 6, 14, 10, 0, 0, 0, time.UTC)
	do := func(a cull.Action) {
		at = at.Add(time.Second)
		e, err := s.Plan(a, at, "anna")
		b.must(err)
		done, err := j.Append(e)
		b.must(err)
		for _, e := range done {
			b.must(s.Commit(e))
		}
	}
	for i, p := range s.Layout().Places {
		switch i % 4 {
		case 0:
			do(cull.Decide{Pass: cull.KeepPass, Answer: cull.Yes, Frames: []cull.ID{p.Frame}})
		case 1, 2:
			do(cull.Decide{Pass: cull.KeepPass, Answer: cull.No, Frames: []cull.ID{p.Frame}})
		}
	}
	scene := s.Layout().Scenes[0]
	at = at.Add(time.Second)
	_, err = j.Append(cull.Entry{Verb: cull.VerbScene, At: at, Who: "anna", Args: []string{"#" + string(scene.First), "Ceremony"}})
	b.must(err)
	bodies, err := j.Bodies()
	b.must(err)
	e := job.SetOffset(bodies[0].Key, cull.Offset{Add: -90 * time.Second})
	e.At = at
	_, err = j.Append(e)
	b.must(err)
	b.must(prepare.Regroup(j))
}

func (b *bench) handOver(j *job.Job) handoff.Summary {
	b.t.Helper()
	sum, err := handoff.Run(context.Background(), j, handoff.Options{Drops: true})
	b.must(err)
	return sum
}

func (b *bench) archive(j *job.Job, shelf string) string {
	b.t.Helper()
	sum, err := closing.Run(context.Background(), j, closing.Options{Dirs: []string{shelf}})
	b.must(err)
	b.must(sum.Places[0].Err)
	return sum.Places[0].Dir
}

func (b *bench) reopen(dir string) Summary {
	b.t.Helper()
	sum, err := Run(context.Background(), b.bag, dir, Options{Remark: func(s string) { b.t.Error(s) }})
	b.must(err)
	if len(sum.Failed) > 0 {
		b.t.Fatalf("%v", sum.Failed)
	}
	return sum
}

// tree is every file below a folder with the sum of its bytes, the state of a job left out
// but for its journal and manifest.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, _ := filepath.Rel(dir, p)
		rel = filepath.ToSlash(rel)
		if strings.HasPrefix(rel, ".garner/") && rel != ".garner/journal.txt" && rel != ".garner/manifest-sha256.txt" {
			return nil
		}
		text, err := os.ReadFile(p)
		s := sha256.Sum256(text)
		all[rel] = hex.EncodeToString(s[:])
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// known is what must be the same in a job that was archived and opened again.
type known struct {
	Order     []cull.Place
	Scenes    []cull.Scene
	Answers   map[string]map[cull.ID]cull.Decision
	Frames    map[cull.ID]cull.Frame // without files and what depends on them
	Bodies    []cull.Body
	Looks     map[cull.ID]cull.Look
	Measures  map[cull.ID]cull.Measures
	Journal   string             // but for the lines that tell of one copy alone
	Originals map[cull.ID]string // path that a frame's sidecar goes by
}

func (b *bench) known(j *job.Job) known {
	b.t.Helper()
	w, err := j.Whole()
	b.must(err)
	l := w.Session.Layout()
	k := known{l.Places, l.Scenes, w.Answers, w.Frames, w.Bodies, w.Looks, w.Measures, shared(w.Journal), map[cull.ID]string{}}
	for id, f := range k.Frames {
		k.Originals[id] = f.Files[0].Original()
		slices.Sort(f.Aliases)
		f.Files, f.Previews, f.Problems = nil, nil, nil
		k.Frames[id] = f
	}
	return k
}

func shared(journal []byte) string {
	var lines []string
	for line := range strings.Lines(string(journal)) {
		if e, err := cull.ParseEntry(strings.TrimSpace(line)); err != nil || !job.OfThisCopy(e) {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "")
}

func (b *bench) same(was, is known) {
	b.t.Helper()
	if d := cmp.Diff(was, is); d != "" {
		b.t.Error(d)
	}
}

// A job is archived and opened again: what was decided, in which order and under which
// letters, is what it was; the sidecars are those that were written, and a handoff writes
// none anew; frames whose originals are not in the bag show their small pictures.
func TestRoundTrip(t *testing.T) {
	b := newBench(t)
	j := b.open(b.dir)
	was := b.known(j)
	old := tree(t, b.dir)
	j.Close()

	dir := filepath.Join(t.TempDir(), "again")
	sum := b.reopen(dir)
	if sum.Smalls == 0 || sum.Frames != len(was.Frames) || sum.Unasked || sum.Resumed {
		t.Errorf("%+v", sum)
	}
	j = b.open(dir)
	defer j.Close()
	if r := j.Recovered(); len(r) > 0 {
		t.Error(r)
	}
	b.same(was, b.known(j))

	done := b.prepare(j)
	if done.Failed != b.broken || done.Gone > 0 || done.New > 0 {
		t.Errorf("%+v", done)
	}
	b.same(was, b.known(j))
	before := tree(t, dir)
	hand := b.handOver(j)
	if d := cmp.Diff(before, tree(t, dir)); d != "" {
		t.Errorf("a handoff changed %s", d)
	}
	if n := hand.Sidecars[handoff.Unchanged]; n == 0 || len(hand.Sidecars) != 1 {
		t.Errorf("%+v", hand)
	}
	frames, err := j.Frames()
	b.must(err)
	freed := 0
	v := prepare.NewViewer(j)
	defer v.Close()
	for _, f := range frames {
		if !f.Freed() {
			continue
		}
		freed++
		if thumb, err := v.ThumbJPEG(context.Background(), f); err != nil || len(thumb) == 0 {
			t.Errorf("%s: %v", f.Name, err)
		}
	}
	if freed != sum.Smalls {
		t.Errorf("%d frames live on in %d small pictures", freed, sum.Smalls)
	}
	for p, s := range before {
		if !strings.HasPrefix(p, "small/") && !strings.HasPrefix(p, ".garner/") && old[p] != s {
			t.Errorf("%s is another file", p)
		}
	}

	// It goes into its own bag again.
	if again := b.archive(j, filepath.Dir(b.bag)); again != b.bag {
		t.Errorf("its bag is %s now", again)
	}
	b.valid(b.bag)
}

func (b *bench) valid(bag string) Verdict {
	b.t.Helper()
	v, err := Check(context.Background(), bag, nil)
	b.must(err)
	if !v.Valid() || v.Job == nil {
		b.t.Fatalf("%v %v", v.Report.Findings, v.Faults)
	}
	return v
}

// Interrupted anywhere it goes on to the same bytes.
func TestInterrupted(t *testing.T) {
	b := newBench(t)
	plain := filepath.Join(t.TempDir(), "plain")
	b.reopen(plain)
	want := tree(t, plain)
	ends := 0
	for n := 1; ; n++ {
		dir := filepath.Join(t.TempDir(), "again")
		ctx, cancel := context.WithCancel(context.Background())
		calls := 0
		_, err := Run(ctx, b.bag, dir, Options{Progress: func(Progress) {
			if calls++; calls == n*n {
				cancel()
			}
		}})
		cancel()
		if err == nil {
			break
		}
		if !errors.Is(err, context.Canceled) {
			t.Fatal(err)
		}
		ends++
		if sum := b.reopen(dir); !sum.Resumed {
			t.Errorf("%+v", sum)
		}
		if d := cmp.Diff(want, tree(t, dir)); d != "" {
			t.Fatalf("interrupted at %d: %s", n*n, d)
		}
	}
	if ends < 5 {
		t.Errorf("interrupted %d times", ends)
	}
}

// What is there already is nobody's to write into.
func TestTaken(t *testing.T) {
	b := newBench(t)
	dir := t.TempDir()
	b.must(os.WriteFile(filepath.Join(dir, "mine.txt"), []byte("mine"), 0o666))
	for want, dir := range map[error]string{ErrNotEmpty: dir, ErrInside: filepath.Join(b.bag, "job")} {
		if _, err := Run(context.Background(), b.bag, dir, Options{}); !errors.Is(err, want) {
			t.Errorf("%v, not %v", err, want)
		}
	}
	if got := tree(t, dir); len(got) != 1 {
		t.Errorf("%v", got)
	}
	b.valid(b.bag)

	dir = filepath.Join(t.TempDir(), "small")
	_, err := Run(context.Background(), b.bag, dir, Options{VolumeOf: func(string) (volume.Volume, error) { return volume.Volume{Free: 1000}, nil }})
	var room *RoomError
	if !errors.As(err, &room) || room.Free != 1000 {
		t.Error(err)
	}
	if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
		t.Error("there is a folder now")
	}

	b.reopen(dir)
	if _, err := Run(context.Background(), b.bag, dir, Options{}); !errors.Is(err, ErrNotEmpty) {
		t.Error(err)
	}
	b.must(os.WriteFile(filepath.Join(dir, ".garner", markerName), []byte("0123\n"), 0o666))
	if _, err := Run(context.Background(), b.bag, dir, Options{}); !errors.Is(err, ErrOther) {
		t.Error(err)
	}
}

// A yes about faces, the folders that everything goes to and the bags are the other copy's.
func TestConsentStays(t *testing.T) {
	b := newBench(t)
	j := b.open(b.dir)
	b.must(j.SetFaces(true))
	b.must(j.SetPeople(true))
	frames, err := j.Frames()
	b.must(err)
	m := map[cull.ID]cull.Measures{}
	for id := range frames {
		m[id] = cull.Measures{Light: cull.Light{Method: 1, Highlights: 0.25}, Faces: cull.Faces{Method: 1, List: []cull.Face{{Score: 0.5}}}}
	}
	b.must(j.SaveMeasures(m))
	also := t.TempDir()
	b.must(os.Mkdir(filepath.Join(also, ".garner"), 0o777))
	b.must(j.SetAlso([]string{also}))
	b.must(j.NoteBags("/there/shelf/job"))
	b.bag = b.archive(j, filepath.Dir(b.bag))
	j.Close()

	dir := filepath.Join(t.TempDir(), "again")
	sum := b.reopen(dir)
	if !sum.Unasked || len(sum.Also) != 1 {
		t.Errorf("%+v", sum)
	}
	j = b.open(dir)
	defer j.Close()
	faces, err := j.Faces()
	b.must(err)
	people, err := j.People()
	b.must(err)
	left, err := j.Also()
	b.must(err)
	bags, err := j.Bags()
	b.must(err)
	opened, err := j.Opened()
	b.must(err)
	if faces.Yes || people.Yes || len(left) > 0 || !slices.Equal(bags, []string{b.bag}) || opened != b.bag {
		t.Errorf("%+v %+v %v %v %s", faces, people, left, bags, opened)
	}
	got, err := j.Measures()
	b.must(err)
	for id := range frames {
		if !got[id].Light.Known() || got[id].Faces.Known() {
			t.Fatalf("%+v", got[id])
		}
	}
	// The lines undo nothing in the job that said yes.
	first := b.open(b.dir)
	defer first.Close()
	entries, err := j.Entries()
	b.must(err)
	n := 0
	for _, e := range entries {
		if e.Verb == cull.VerbCorrect && len(e.Args) == 2 && e.Args[1] == "no" {
			n++
			if err := first.Refused(e); err == nil {
				t.Errorf("%v counts there", e)
			}
		}
	}
	if n != 2 {
		t.Errorf("%d lines", n)
	}
}

// edit writes another text in place of a file of the bag, and has the manifests fit it,
// as somebody may who wants to be believed.
func (b *bench) edit(name string, change func(string) string) {
	b.t.Helper()
	path := filepath.Join(b.bag, filepath.FromSlash(name))
	text, err := os.ReadFile(path)
	b.must(err)
	is := change(string(text))
	if is == string(text) {
		b.t.Fatal("nothing was changed")
	}
	b.must(os.WriteFile(path, []byte(is), 0o666))
	b.list(name, string(text), is)
}

func (b *bench) list(name, was, is string) {
	b.t.Helper()
	old, now := sha256.Sum256([]byte(was)), sha256.Sum256([]byte(is))
	old5, now5 := sha512.Sum512([]byte(was)), sha512.Sum512([]byte(is))
	for manifest, sums := range map[string][2][]byte{"manifest-sha256.txt": {old[:], now[:]}, "manifest-sha512.txt": {old5[:], now5[:]}} {
		path := filepath.Join(b.bag, manifest)
		text, err := os.ReadFile(path)
		b.must(err)
		line := func(sum []byte) string { return hex.EncodeToString(sum) + "  " + name }
		b.must(os.WriteFile(path, []byte(strings.Replace(string(text), line(sums[0]), line(sums[1]), 1)), 0o666))
		b.must(os.RemoveAll(filepath.Join(b.bag, "tag"+manifest)))
	}
	info := filepath.Join(b.bag, "bag-info.txt") // which has the number of bytes
	text, err := os.ReadFile(info)
	b.must(err)
	lines := slices.DeleteFunc(strings.SplitAfter(string(text), "\n"), func(s string) bool { return strings.HasPrefix(s, "Payload-Oxum") })
	b.must(os.WriteFile(info, []byte(strings.Join(lines, "")), 0o666))
}

// What makes no sense in the record is found before anything is copied.
func TestFramesThatMakeNoSense(t *testing.T) {
	b := newBench(t)
	b.edit(record.RunFolder(1)+"/"+record.FramesName, func(s string) string { return strings.Replace(s, `"answer":"no"`, `"answer":"perhaps"`, 1) })
	dir := filepath.Join(t.TempDir(), "again")
	if _, err := Run(context.Background(), b.bag, dir, Options{}); err == nil || !strings.Contains(err.Error(), `"perhaps" is no answer`) {
		t.Error(err)
	}
	if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
		t.Error("there is a folder now")
	}
}

// A record may say anything: nothing is written outside the folder, nor into the state.
func TestHostile(t *testing.T) {
	for _, to := range []string{"../out.xmp", "/tmp/out.xmp", ".garner/catalog.db", ".GARNER/people.db", ".garner./catalog.db", "GARNER~1/x", "A/../../x", `..\x`, "C:x"} {
		t.Run(to, func(t *testing.T) {
			b := newBench(t)
			r, err := record.Open(b.bag)
			b.must(err)
			var victim string
			for f := range r.Files() {
				if strings.HasSuffix(f.Path, ".xmp") && f.Bag != "" {
					victim = f.Path
					break
				}
			}
			b.edit(record.RunFolder(1)+"/"+record.FilesName, func(s string) string {
				return strings.Replace(s, `"path":"`+victim+`"`, `"path":"`+strings.ReplaceAll(to, `\`, `\\`)+`"`, 1)
			})
			top := t.TempDir()
			dir := filepath.Join(top, "deep", "again")
			sum, err := Run(context.Background(), b.bag, dir, Options{})
			if err != nil || len(sum.Failed) != 1 {
				t.Fatalf("%v %v", sum.Failed, err)
			}
			for p := range tree(t, top) {
				if !strings.HasPrefix(p, "deep/again/") {
					t.Errorf("there is %s", p)
				}
			}
			for p := range tree(t, dir) {
				if strings.HasPrefix(strings.ToLower(p), ".garner.") || strings.HasPrefix(p, "GARNER~") || strings.HasPrefix(p, ".GARNER") {
					t.Errorf("there is %s", p)
				}
			}
			if _, err := os.Lstat(filepath.Join(dir, ".garner", markerName)); err != nil {
				t.Error("another bag could not bring what is missing")
			}
		})
	}
}
