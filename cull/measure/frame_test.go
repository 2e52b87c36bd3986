package measure

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/people"
	"garner/cull/prepare"
	"garner/preview/face"
	"garner/preview/jpeg"
	"garner/preview/measure"
	"garner/preview/pix"
	"garner/testdata/testjob"
)

func TestMain(m *testing.M) { os.Exit(testjob.Run(m)) }

// oneFace is a FaceReader that finds a face in the middle of everything.
type oneFace struct{}

func (oneFace) Find(_ context.Context, m *jpeg.Image) ([]face.Found, error) {
	w, h := float64(m.Width), float64(m.Height)
	return []face.Found{{X: w * 0.4, Y: h * 0.4, W: w * 0.1, H: h * 0.2, Score: 0.9}}, nil
}

func (oneFace) Eyes(_ context.Context, m *jpeg.Image, at face.Found) (face.Eyes, error) {
	return face.Eyes{Presence: 0.8, Right: 0.05, Left: 0.3, Width: [2]float64{at.W / 5, at.W / 5}, Apart: at.W / 2}, nil
}

func (oneFace) Template(context.Context, *jpeg.Image, face.Eyes) (face.Template, error) {
	return face.Template{1}, nil
}

func demoJob(t testing.TB) *job.Job {
	t.Helper()
	j, err := job.Open(testjob.Demo(t, 24, true), job.Options{Who: "anna"})
	must(t, err)
	t.Cleanup(func() { j.Close() })
	return j
}

// The frames of a real job: what is measured is what package preview/measure says of
// the same pixels.
func TestRunOnFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("decodes 24 pictures")
	}
	j := demoJob(t)
	must(t, j.SetFaces(true))
	must(t, j.SetPeople(true))
	frames, err := j.Frames()
	must(t, err)
	viewer := prepare.NewViewer(j)
	defer viewer.Close()
	e := newEye(viewer, 2)
	for range 2 {
		<-e.readers
		e.readers <- oneFace{}
	}
	sum, err := runWith(t.Context(), j, Options{Workers: 2}, e)
	must(t, err)
	if sum.Failed != 0 || sum.Measured != sum.Frames || sum.Faces != sum.Frames || sum.Templates != sum.Frames {
		t.Errorf("%+v", sum)
	}
	found := measures(t, j)
	checked := 0
	for id, f := range frames {
		m, ok := found[id]
		if ok != f.CanBeShown() {
			t.Errorf("%s: measured %v", f.Name, ok)
		}
		if !ok {
			continue
		}
		w, h := 2400, 1600
		if f.Shot.Orientation >= 5 {
			w, h = h, w
		}
		if m.Focus.Width != w || m.Focus.Height != h || m.Focus.Small || len(m.Focus.Spots) == 0 || !m.Light.Known() || len(m.Faces.List) != 1 {
			t.Errorf("%s: %+v", f.Name, m)
			continue
		}
		c := m.Faces.List[0]
		if c.Eyes != cull.EyesClosed || !near(c.Opening, 0.05) || !pixelNear(c.X, 0.4) || !pixelNear(c.W, 0.1) || !pixelNear(c.H, 0.2) || !near(c.EyeApart, float64(w)/20) {
			t.Errorf("%s: face %+v", f.Name, c)
		}
		if checked++; checked > 4 {
			continue
		}
		d, err := viewer.Detail(t.Context(), f)
		must(t, err)
		spots, err := measure.FocusOf(t.Context(), d)
		must(t, err)
		for i, s := range m.Focus.Spots {
			if want := spots[i]; s.Pixels != want.Pixels || !near(s.Energy, want.Energy) || !near(s.Edge, want.Edge) || (s.By == cull.BySubject) != want.Subject ||
				!near(s.X*float64(w), float64(want.Min.X)) || !near(s.H*float64(h), float64(want.Dy())) {
				t.Errorf("%s: spot %+v, want %+v", f.Name, s, want)
			}
		}
		pic, err := viewer.Picture(t.Context(), f, measure.SearchEdge)
		must(t, err)
		if want := pix.Clip(pic.Image); !near(m.Light.Highlights, want.All) || !near(m.Light.AnyHigh, want.Any) || !near(m.Light.Shadows, want.Shadow) {
			t.Errorf("%s: light %+v, want %+v", f.Name, m.Light, want)
		}
	}
	list, err := people.Open(j).Persons()
	must(t, err)
	if len(list) != 1 || list[0].Frames != sum.Frames {
		t.Errorf("persons %+v", list)
	}
}

// pixelNear allows for boxes in whole pixels.
func pixelNear(a, b float64) bool { return math.Abs(a-b) <= 2./1600 }

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-4*max(1, math.Abs(b)) }

// A file that is cut off where its pictures lie cannot be measured, which is noted;
// one that is not there is tried again.
func TestFilesThatCannotBeMeasured(t *testing.T) {
	if testing.Short() {
		t.Skip("draws 24 pictures")
	}
	j := demoJob(t)
	frames, err := j.Frames()
	must(t, err)
	viewer := prepare.NewViewer(j)
	defer viewer.Close()
	e := newEye(viewer, 1)
	pause := func(context.Context) error { return nil }
	for _, f := range frames {
		if !f.CanBeShown() || len(f.Files) != 1 {
			continue
		}
		path := filepath.Join(j.Root(), filepath.FromSlash(f.Files[0].Path))
		w := wanted{of: "x", focus: true, light: true}
		cut, err := os.ReadFile(path)
		must(t, err)
		for _, p := range f.Previews {
			clear(cut[p.Offset:][:p.Length])
		}
		must(t, os.WriteFile(path, cut, 0o666))
		got, err := e.measure(t.Context(), f, w, pause)
		if err != nil || got.err != nil || got.Tried.Why == "" || got.Tried.Of != "x" || got.Tried.Focus != cull.FocusMethod || got.Focus.Known() || got.Light.Known() {
			t.Errorf("pictures that are gone: %v %+v", err, got)
		}
		must(t, os.Remove(path))
		if got, err = e.measure(t.Context(), f, w, pause); err != nil || got.err == nil {
			t.Errorf("a file that is gone: %v %+v", err, got)
		}
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if _, err := e.measure(ctx, f, w, pause); err == nil {
			t.Error("it was called off and went on")
		}
		return
	}
	t.Fatal("no frame to try")
}
