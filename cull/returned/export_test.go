package returned

import (
	"bytes"
	"context"
	"image"
	"math"
	"os"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/testdata/testjob"
)

func TestMain(m *testing.M) { os.Exit(testjob.Run(m)) }

// edit is what somebody did to a picture.
type edit struct {
	name       string
	x, y, w, h float64 // the part that was left, as shares; w = 0 is all of it
	gamma      float64 // 0 = 1
	tint       int     // added to Cr
	grey       bool
	long       int // pixels; 0 = as it is
}

// some edits, one after another over the exports of a job.
var edits = []edit{
	{name: "whole"},
	{name: "brighter", gamma: 0.65},
	{name: "black-and-white", grey: true, gamma: 1.3},
	{name: "80 %", x: 0.13, y: 0.05, w: 0.8, h: 0.8},
	{name: "warm and small", tint: 18, long: 400},
	{name: "62 % by 80 %", x: 0.2, y: 0.12, w: 0.62, h: 0.8, gamma: 0.85},
	{name: "square", x: 0.15, y: 0, w: 0.667, h: 1, grey: true},
}

// of makes the edited picture.
func (e edit) of(m *jpeg.Image) *jpeg.Image {
	if e.w > 0 {
		at := func(s float64, n int) int { return int(s * float64(n)) }
		m = pix.Cut(m, image.Rect(at(e.x, m.Width), at(e.y, m.Height), at(e.x+e.w, m.Width), at(e.y+e.h, m.Height)), 1)
	}
	if e.long > 0 {
		m = pix.Fit(m, e.long)
	}
	out := &jpeg.Image{}
	out.Reset(m.Width, m.Height, m.SubX, m.SubY, e.grey || m.Cb == nil)
	gamma := e.gamma
	if gamma == 0 {
		gamma = 1
	}
	for y := range m.Height {
		for x, v := range m.Y[y*m.YStride:][:m.Width] {
			out.Y[y*out.YStride+x] = byte(255*math.Pow(float64(v)/255, gamma) + 0.5)
		}
	}
	for i := 0; i < len(out.Cb) && i < len(m.Cb) && m.CStride == out.CStride; i++ {
		out.Cb[i], out.Cr[i] = m.Cb[i], byte(min(255, int(m.Cr[i])+e.tint))
	}
	return out
}

// exporter writes pictures as somebody gives them back.
type exporter struct {
	t     testing.TB
	j     *job.Job
	view  *prepare.Viewer
	frame map[cull.ID]cull.Frame
}

func newExporter(t testing.TB, dir string) *exporter {
	t.Helper()
	j, err := job.Open(dir, job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	frames, err := j.Frames()
	if err != nil {
		t.Fatal(err)
	}
	v := prepare.NewViewer(j)
	t.Cleanup(func() { v.Close() })
	return &exporter{t, j, v, frames}
}

// write puts an edited frame into a file of the job, with nothing but pixels in it.
func (e *exporter) write(id cull.ID, as edit, path string) {
	e.t.Helper()
	pic, err := e.view.Picture(context.Background(), e.frame[id], 1024)
	if err != nil {
		e.t.Fatal(err)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, as.of(pic.Image), 88); err != nil {
		e.t.Fatal(err)
	}
	to := filepath.Join(e.j.Root(), filepath.FromSlash(path))
	if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
		e.t.Fatal(err)
	}
	if err := os.WriteFile(to, b.Bytes(), 0o666); err != nil {
		e.t.Fatal(err)
	}
}

func (e *exporter) match(o Options) *Matched {
	e.t.Helper()
	m, err := Match(context.Background(), e.j, o)
	if err != nil {
		e.t.Fatal(err)
	}
	return m
}

// counts is how many ties are right, wrong and open.
type counts struct{ right, wrong, open int }

// count compares ties with the truth, one for each: the frame first, of a merge all of
// its frames.
func count(t testing.TB, what string, ties []Tie, truth [][]cull.ID, name func(cull.ID) string) (c counts) {
	t.Helper()
	for i, tie := range ties {
		want := truth[i]
		switch {
		case tie.State == Open:
			c.open++
			if os.Getenv("SHOW") != "" {
				t.Log(name(want[0]), tie.Why, len(tie.Nearest))
			}
		case len(tie.Frames) == len(want) && len(want) > 0 && tie.Frames[0] == want[0]:
			c.right++
		default:
			c.wrong++
			got, wanted := "", ""
			for _, id := range tie.Frames {
				got += name(id) + " "
			}
			for _, id := range want {
				wanted += name(id) + " "
			}
			t.Logf("%s: %s is tied to %s(%v), of %s", what, tie.Path, got, tie.Why, wanted)
		}
	}
	t.Logf("%-46s right %3d, wrong %d, open %3d", what, c.right, c.wrong, c.open)
	return c
}
