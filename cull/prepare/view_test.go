package prepare_test

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/preview"
	"garner/testdata/testjob"
)

// frames opens a prepared wedding of 24 frames.
func viewed(t testing.TB) (*prepare.Viewer, map[cull.ID]cull.Frame) {
	t.Helper()
	j, err := job.Open(testjob.Template(t, 24, true), job.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	frames, err := j.Frames()
	if err != nil {
		t.Fatal(err)
	}
	v := prepare.NewViewer(j)
	t.Cleanup(func() { v.Close(); j.Close() })
	return v, frames
}

// Every frame gives a picture of the size asked for, upright, or says why not;
// the thumbnail is there at once.
func TestViewer(t *testing.T) {
	v, frames := viewed(t)
	broken := 0
	for _, f := range frames {
		if !f.CanBeShown() {
			broken++
			if _, err := v.Picture(context.Background(), f, 600); err == nil {
				t.Errorf("%s gives a picture and cannot be shown", f.Name)
			}
			continue
		}
		edges := []int{100, 256, 600, 1500}
		if testing.Short() {
			edges = edges[:2]
		}
		for _, edge := range edges {
			m, err := v.Picture(context.Background(), f, edge)
			if err != nil {
				t.Fatalf("%s at %d: %v", f.Name, edge, err)
			}
			if long := max(m.Width, m.Height); long != edge {
				t.Errorf("%s: %d pixels long, want %d", f.Name, long, edge)
			}
			if turned := f.Shot.Orientation >= 5; turned != (m.Height > m.Width) {
				t.Errorf("%s: %dx%d with orientation %d", f.Name, m.Width, m.Height, f.Shot.Orientation)
			}
		}
		if m, ok := v.Thumb(f); !ok || max(m.Width, m.Height) != 256 {
			t.Errorf("%s: thumbnail %v", f.Name, ok)
		}
	}
	if broken != 1 {
		t.Errorf("%d frames cannot be shown, want the one that was cut off", broken)
	}
}

// A file that is gone is said in a sentence, with its name and no more.
func TestViewerWithoutTheFile(t *testing.T) {
	v, frames := viewed(t)
	for _, f := range frames {
		if !f.CanBeShown() {
			continue
		}
		for i := range f.Files {
			f.Files[i].Path = "nowhere/" + filepath.Base(f.Files[i].Path)
		}
		for i := range f.Previews {
			f.Previews[i].File = "nowhere/" + filepath.Base(f.Previews[i].File)
		}
		_, err := v.Picture(context.Background(), f, 600)
		if err == nil {
			t.Fatalf("%s: a picture of a file that is not there", f.Name)
		}
		if text := prepare.NoPicture(f, err); len(text) > 200 || text == "" {
			t.Errorf("it says %q", text)
		}
		return
	}
}

func BenchmarkPicture(b *testing.B) {
	v, frames := viewed(b)
	for _, edge := range []int{256, 1000, 1500} {
		for _, f := range frames {
			if f.CanBeShown() && f.Kind == "CR3" && f.Shot.Orientation <= 1 {
				b.Run(fmt.Sprint(edge), func(b *testing.B) {
					for b.Loop() {
						if _, err := v.Picture(context.Background(), f, edge); err != nil {
							b.Fatal(err)
						}
					}
				})
				break
			}
		}
	}
}

// The detail of a frame is its largest JPEG, upright, with the focus where the file
// says it is; one that cannot be shown says why not.
func TestViewerDetail(t *testing.T) {
	v, frames := viewed(t)
	camera := 0
	for _, f := range frames {
		d, err := v.Detail(context.Background(), f)
		if !f.CanBeShown() {
			if err == nil {
				t.Errorf("%s has a detail and cannot be shown", f.Name)
			}
			continue
		}
		if err != nil {
			t.Fatalf("%s: %v", f.Name, err)
		}
		w, h := 2400, 1600
		if f.Shot.Orientation >= 5 {
			w, h = h, w
		}
		// Some of the demo's raw files have next to no sensor data, and say so.
		sensor := f.Shot.Width < 100 && d.SensorWidth == 0 || d.SensorWidth == w && d.SensorHeight == h
		if d.Width != w || d.Height != h || !sensor {
			t.Errorf("%s: %dx%d of %dx%d, want %dx%d", f.Name, d.Width, d.Height, d.SensorWidth, d.SensorHeight, w, h)
		}
		u, err := v.Unsearched(context.Background(), f)
		if err != nil || u.Width != d.Width || u.Used != d.Used {
			t.Errorf("%s, unsearched: %v", f.Name, err)
		} else if camera := d.FocusFrom == preview.FocusCamera; camera && u.Focus != d.Focus || !camera && u.FocusFrom != preview.FocusCentre {
			t.Errorf("%s: focus %v (%s), unsearched %v (%s)", f.Name, d.Focus, d.FocusFrom, u.Focus, u.FocusFrom)
		}
		if load := v.DetailLoad(f); load < d.Bytes() || load > 8*d.Bytes() {
			t.Errorf("%s: counted as %d bytes, holds %d", f.Name, load, d.Bytes())
		}
		if d.FocusFrom == preview.FocusCamera {
			camera++
		}
	}
	if camera < len(frames)/2 {
		t.Errorf("%d frames of %d have the camera's point of focus", camera, len(frames))
	}
}

// The JPEG beside a raw file is often larger than the one inside.
func TestViewerDetailTakesTheLargest(t *testing.T) {
	v, frames := viewed(t)
	for _, f := range frames {
		if !f.CanBeShown() || len(f.Previews) < 2 || f.Previews[0].File != f.Files[0].Path {
			continue
		}
		full := f.Previews[0]
		beside := full.File + ".away"
		small := f
		small.Files = append([]cull.File{{Path: beside, Role: cull.RoleMain, Kind: "CR3"}}, f.Files...)
		small.Previews = []cull.Preview{{File: beside, Offset: 1, Length: 1, Width: 320, Height: 200, Whole: true}, full}
		d, err := v.Detail(context.Background(), small)
		if err != nil || max(d.Width, d.Height) != max(full.Width, full.Height) {
			t.Errorf("%s: %v", f.Name, err)
		}
		return
	}
	t.Fatal("no frame has several previews")
}

// What was walked past is not made to its end.
func TestViewerCalledOff(t *testing.T) {
	v, frames := viewed(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, f := range frames {
		if !f.CanBeShown() {
			continue
		}
		if _, err := v.Picture(ctx, f, 1500); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: %v", f.Name, err)
		}
		if _, err := v.Detail(ctx, f); !errors.Is(err, context.Canceled) {
			t.Errorf("the detail of %s: %v", f.Name, err)
		}
	}
}
