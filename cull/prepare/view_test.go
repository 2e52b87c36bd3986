package prepare_test

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
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
