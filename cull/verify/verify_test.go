package verify

import (
	"context"
	"crypto/sha256"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/job"
)

// bench is a job whose frames are plain files: verification only reads bytes.
type bench struct {
	t *testing.T
	j *job.Job
}

func newBench(t *testing.T, files map[string]string) bench {
	t.Helper()
	dir := t.TempDir()
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	b := bench{t, j}
	for path, data := range files {
		b.put(path, data)
	}
	b.know(files)
	return b
}

func (b bench) put(path, data string) {
	b.t.Helper()
	p := filepath.Join(b.j.Root(), filepath.FromSlash(path))
	if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(p, []byte(data), 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// know makes each file a frame of the catalogue, with a sidecar beside it.
func (b bench) know(files map[string]string) {
	b.t.Helper()
	var frames []cull.Frame
	for path, data := range files {
		sum := sha256.Sum256([]byte(path))
		frames = append(frames, cull.Frame{ID: cull.ID(job.Sum(sum).String()[:16]), Name: path, Files: []cull.File{
			{Path: path, Role: cull.RoleMain, Size: int64(len(data))}, {Path: path + ".xmp", Role: cull.RoleSidecar}}})
	}
	if err := b.j.SaveFrames(frames); err != nil {
		b.t.Fatal(err)
	}
}

func (b bench) run(record bool) (Summary, map[string]State) {
	b.t.Helper()
	states := map[string]State{}
	sum, err := Run(context.Background(), b.j, Options{Record: record, Line: func(l Line) { states[l.Path] = l.State }})
	if err != nil {
		b.t.Fatal(err)
	}
	return sum, states
}

func TestRecordThenVerify(t *testing.T) {
	b := newBench(t, map[string]string{"A/1.DNG": "abc", "A/2.DNG": "second", "B/1.DNG": "third"})
	if sum, states := b.run(false); sum.Files[New] != 3 || sum.Bad() != 0 || states["A/1.DNG"] != New {
		t.Errorf("before: %+v", sum)
	}
	if sum, _ := b.run(true); sum.Files[Recorded] != 3 {
		t.Errorf("recording: %+v", sum)
	}
	if sum, states := b.run(false); sum.Files[Same] != 3 || len(states) != 0 || sum.Bytes != 14 {
		t.Errorf("after: %+v %v", sum, states)
	}
	manifest, err := b.j.Manifest()
	if err != nil {
		t.Fatal(err)
	}
	// FIPS 180-4: SHA-256 of "abc".
	if got := manifest["A/1.DNG"].String(); got != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Errorf("sum %s", got)
	}
	if _, ok := manifest["A/1.DNG.xmp"]; ok {
		t.Error("a sidecar, which is meant to change, is in the manifest")
	}
}

// The faults of CHECKS 4d: one bit, one byte shorter, other content of the same
// size, gone.
func TestDamageIsSeen(t *testing.T) {
	b := newBench(t, map[string]string{"A/1": "abcdef", "A/2": "abcdefg", "A/3": "abcdefgh", "A/4": "abcdefghi", "A/5": "untouched"})
	b.run(true)
	b.put("A/1", "abcdeg")
	b.put("A/2", "abcdef")
	b.put("A/3", "hgfedcba")
	if err := os.Remove(filepath.Join(b.j.Root(), "A", "4")); err != nil {
		t.Fatal(err)
	}
	sum, states := b.run(true)
	want := map[string]State{"A/1": Changed, "A/2": Changed, "A/3": Changed, "A/4": Missing}
	for p, s := range want {
		if states[p] != s {
			t.Errorf("%s: %q, want %q", p, states[p], s)
		}
	}
	if sum.Bad() != 4 || sum.Files[Same] != 1 {
		t.Errorf("%+v", sum)
	}
	// Recording never puts a damaged file's sum over the good one.
	if again, _ := b.run(false); again.Bad() != 4 {
		t.Errorf("the second time: %+v", again)
	}
}

func TestMovedFileTakesItsLineAlong(t *testing.T) {
	b := newBench(t, map[string]string{"A/1": "one", "A/2": "two"})
	b.run(true)
	if err := os.Rename(filepath.Join(b.j.Root(), "A", "1"), filepath.Join(b.j.Root(), "A", "bride")); err != nil {
		t.Fatal(err)
	}
	b.know(map[string]string{"A/bride": "one"})
	if sum, states := b.run(false); states["A/bride"] != Moved || sum.Bad() != 0 || len(states) != 1 {
		t.Errorf("%+v %v", sum, states)
	}
	manifest, _ := b.j.Manifest()
	if _, ok := manifest["A/1"]; ok || len(manifest) != 2 {
		t.Errorf("manifest %v", manifest)
	}
}

func TestInterruptedRunKeepsWhatItRecorded(t *testing.T) {
	b := newBench(t, map[string]string{"A/1": "one", "A/2": "two"})
	ctx, cancel := context.WithCancel(context.Background())
	_, err := Run(ctx, b.j, Options{Record: true, Progress: func(files, _ int, _, _ int64) {
		if files == 1 {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	if m, _ := b.j.Manifest(); len(m) != 1 {
		t.Errorf("manifest %v", m)
	}
}

func TestFilesOutsideTheCatalogueStayProven(t *testing.T) {
	b := newBench(t, map[string]string{"A/1": "one"})
	b.put("clips/film.mov", "moving pictures")
	if err := b.j.RecordManifest(map[string]job.Sum{"clips/film.mov": sha256.Sum256([]byte("moving pictures"))}); err != nil {
		t.Fatal(err)
	}
	if sum, states := b.run(false); sum.Files[Same] != 1 || states["clips/film.mov"] != "" {
		t.Errorf("%+v %v", sum, states)
	}
	b.put("clips/film.mov", "moved pictures")
	if _, states := b.run(false); states["clips/film.mov"] != Changed {
		t.Errorf("%v", states)
	}
}
