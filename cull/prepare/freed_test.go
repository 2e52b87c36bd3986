package prepare_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"garner/cull"
	"garner/cull/handoff"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/cull/verify"
	"garner/preview/raw"
	"garner/preview/small"
	"garner/testdata/testjob"
)

// wedding is a prepared job, every third frame of which is kept and the rest dropped,
// with sidecars for all.
type wedding struct {
	t   *testing.T
	dir string
	*job.Job
}

func newWedding(t *testing.T, frames int) *wedding {
	w := &wedding{t: t, dir: testjob.Demo(t, frames, true)}
	w.open()
	w.prepare() // the copies are younger than what they were made of
	s, err := w.Session()
	w.must(err)
	for i, p := range s.Layout().Places {
		a := cull.No
		if i%3 == 0 {
			a = cull.Yes
		}
		e, err := s.Plan(cull.Decide{Pass: cull.KeepPass, Answer: a, Frames: []cull.ID{p.Frame}}, time.Date(2026, 6, 14, 10, 0, i, 0, time.UTC), "anna")
		w.must(err)
		_, err = w.Append(e)
		w.must(err)
	}
	w.handOver()
	return w
}

func (w *wedding) must(err error) {
	w.t.Helper()
	if err != nil {
		w.t.Fatal(err)
	}
}

func (w *wedding) open() {
	w.t.Helper()
	if w.Job != nil {
		w.must(w.Close())
	}
	j, err := job.Open(w.dir, job.Options{Who: "anna"})
	w.must(err)
	w.t.Cleanup(func() { j.Close() })
	w.Job = j
}

func (w *wedding) prepare() {
	w.t.Helper()
	_, err := prepare.Run(context.Background(), w.Job, prepare.Options{Workers: 2})
	w.must(err)
}

func (w *wedding) handOver() handoff.Summary {
	w.t.Helper()
	sum, err := handoff.Run(context.Background(), w.Job, handoff.Options{Drops: true})
	w.must(err)
	return sum
}

// told is what must not change when originals are freed.
type told struct {
	Frames    map[cull.ID]cull.Frame // without files and previews
	Order     []cull.Place
	Decisions map[cull.ID]cull.Decision
	Sidecars  map[string]string
	Looks     map[cull.ID]cull.Look
}

func (w *wedding) told() told {
	w.t.Helper()
	o := told{Sidecars: map[string]string{}}
	var err error
	o.Frames, err = w.Frames()
	w.must(err)
	for id, f := range o.Frames {
		slices.Sort(f.Aliases)
		f.Files, f.Previews, f.Problems = nil, nil, nil
		o.Frames[id] = f
	}
	l, err := w.Layout()
	w.must(err)
	o.Order = l.Places
	o.Decisions, err = w.Job.Decisions(cull.KeepPass)
	w.must(err)
	o.Looks, err = w.Looks()
	w.must(err)
	w.must(filepath.WalkDir(w.dir, func(p string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(p, ".xmp") {
			b, rerr := os.ReadFile(p)
			o.Sidecars[p], err = string(b), rerr
		}
		return err
	}))
	return o
}

// shrinkable are the frames that are led by a raw which can have a small picture, by
// name.
func (w *wedding) shrinkable() []cull.Frame {
	w.t.Helper()
	frames, err := w.Frames()
	w.must(err)
	list := slices.SortedFunc(maps.Values(frames), func(a, b cull.Frame) int { return strings.Compare(a.Name, b.Name) })
	return slices.DeleteFunc(list, func(f cull.Frame) bool {
		_, err := w.small(f, 0)
		return err != nil
	})
}

// small makes the small picture of one of a frame's files.
func (w *wedding) small(f cull.Frame, i int) ([]byte, error) {
	file := f.Files[i]
	if !raw.Kind(file.Kind).Raw() {
		return nil, small.ErrNone
	}
	b, err := os.ReadFile(w.path(file.Path))
	w.must(err)
	picture, o, err := small.Of(context.Background(), bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return nil, err
	}
	o.Frame, o.Path, o.Role, o.Sum = string(f.ID), file.Path, string(file.Role), sha256.Sum256(b)
	head := sha256.Sum256(b[:min(len(b), 64<<10)])
	o.Head = hex.EncodeToString(head[:])
	for _, a := range f.Aliases {
		o.Aliases = append(o.Aliases, string(a))
	}
	return small.Wrap(picture, o)
}

func (w *wedding) path(p string) string { return filepath.Join(w.dir, filepath.FromSlash(p)) }

// stand puts the small picture of each of a frame's raws into the job.
func (w *wedding) stand(f cull.Frame) (originals []cull.File) {
	w.t.Helper()
	for i, file := range f.Files {
		b, err := w.small(f, i)
		if err != nil {
			continue
		}
		to := w.path(cull.SmallPath(file.Path))
		w.must(os.MkdirAll(filepath.Dir(to), 0o777))
		w.must(os.WriteFile(to, b, 0o666))
		originals = append(originals, file)
	}
	return originals
}

// free lets a frame's raws go.
func (w *wedding) free(f cull.Frame) int {
	w.t.Helper()
	originals := w.stand(f)
	for _, file := range originals {
		b, err := os.ReadFile(w.path(file.Path))
		w.must(err)
		_, err = w.Append(job.Freed(file.Path, job.FreedFile{Frame: f.ID, Sum: sha256.Sum256(b), Bytes: int64(len(b))}))
		w.must(err)
		w.must(os.Remove(w.path(file.Path)))
	}
	return len(originals)
}

// Of half the frames the raws are freed: every frame keeps its id, name, place, shot,
// look, decision and, byte for byte, its sidecar; what was freed is not missed; and
// from nothing but the small pictures and the journal it all comes back.
func TestFreedFramesStayWhatTheyWere(t *testing.T) {
	w := newWedding(t, 30)
	_, err := verify.Run(context.Background(), w.Job, verify.Options{Record: true})
	w.must(err)
	before := w.told()
	if len(before.Sidecars) < 25 {
		t.Fatalf("only %d sidecars", len(before.Sidecars))
	}
	gone := map[cull.ID]bool{}
	files := 0
	for i, f := range w.shrinkable() {
		if i%2 == 0 {
			files += w.free(f)
			gone[f.ID] = true
		}
	}
	if len(gone) < 10 {
		t.Fatalf("only %d frames were freed", len(gone))
	}
	check := func(when string, looks bool) {
		t.Helper()
		after := w.told()
		if !looks { // they are made anew, of the pixels of another JPEG
			after.Looks = before.Looks
			for id, f := range after.Frames {
				f.Fingerprint, f.Luma = before.Frames[id].Fingerprint, before.Frames[id].Luma
				after.Frames[id] = f
			}
		}
		if d := cmp.Diff(before, after); d != "" {
			t.Errorf("%s:\n%s", when, d)
		}
		frames, err := w.Frames()
		w.must(err)
		for id, f := range frames {
			if f.Freed() != gone[id] || f.Freed() && !f.CanBeShown() {
				t.Errorf("%s: %s has %+v, %v", when, f.Name, f.Files, f.Problems)
			}
		}
	}
	w.prepare()
	check("after they were freed", true)
	sum := w.handOver()
	if sum.Sidecars[handoff.Written]+sum.Sidecars[handoff.Merged]+sum.Failed() > 0 {
		t.Errorf("handed off again: %v", sum.Sidecars)
	}
	check("handed off again", true)
	status, err := w.Status()
	w.must(err)
	if status.Freed != len(gone) || status.Gone != 0 {
		t.Errorf("status: %d freed, %d gone", status.Freed, status.Gone)
	}
	proof, err := verify.Run(context.Background(), w.Job, verify.Options{})
	w.must(err)
	if proof.Bad() != 0 || proof.Files[verify.Freed] != files || proof.Files[verify.New] != files {
		t.Errorf("verify: %v, %v", proof.Files, proof.Catalogue)
	}

	for _, name := range []string{"catalog.db", "cache"} {
		w.must(os.RemoveAll(filepath.Join(w.dir, ".garner", name)))
	}
	w.open()
	w.prepare()
	check("from nothing", false)
	w.handOver()
	check("from nothing, handed off again", false)
	if freed, err := w.Job.Freed(); err != nil || len(freed) != files {
		t.Errorf("%d files are known to be freed, of %d: %v", len(freed), files, err)
	}
}

// Beside its raw a small picture is one more file of the frame; the raw leads, and
// when it goes the frame is the same.
func TestSmallBesideItsOriginal(t *testing.T) {
	w := newWedding(t, 12)
	before := w.told()
	list := w.shrinkable()
	for _, f := range list {
		w.stand(f)
	}
	w.prepare()
	if d := cmp.Diff(before, w.told()); d != "" {
		t.Error(d)
	}
	frames, err := w.Frames()
	w.must(err)
	for _, f := range list {
		now := frames[f.ID]
		if now.Freed() || now.Files[0].Path != f.Files[0].Path || !slices.ContainsFunc(now.Files, func(file cull.File) bool { return file.Role == cull.RoleSmall }) {
			t.Errorf("%s: %+v", f.Name, now.Files)
		}
		if !slices.Equal(now.Previews, f.Previews) {
			t.Errorf("%s: %+v", f.Name, now.Previews)
		}
	}
	for _, f := range list {
		w.free(f)
	}
	for _, name := range []string{"catalog.db", "cache"} {
		w.must(os.RemoveAll(filepath.Join(w.dir, ".garner", name)))
	}
	w.open()
	w.prepare()
	after := w.told()
	if d := cmp.Diff(slices.Sorted(maps.Keys(before.Frames)), slices.Sorted(maps.Keys(after.Frames))); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(before.Decisions, after.Decisions); d != "" {
		t.Error(d)
	}
}
