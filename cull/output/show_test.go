package output

import (
	"bytes"
	"context"
	"errors"
	"image"
	"maps"
	"os"
	"path/filepath"
	"testing"

	"garner/cull/job"
	"garner/preview/resample"
)

// What is shown of a picture, and what it would be called, is what a run then writes:
// every byte of every set. Showing it writes nothing.
func TestShowIsWhatRunWrites(t *testing.T) {
	b := newBench(t)
	exact := &job.Dimensions{W: 60, H: 60}
	b.settings.Sets = maps.Clone(b.settings.Sets)
	b.settings.Sets["album"] = job.SetSettings{Exact: exact, Crop: to(true), CropAt: []string{"right"}, Stamp: to(true), Space: text("Adobe RGB")}
	b.put("a/IMG_0001.jpg", finishedPicture(t, 3, day(12), "1001"))
	b.put("b/IMG_0001.jpg", finishedPicture(t, 8, day(11), "1001"))
	b.put("c.png", []byte("no picture"))
	j, err := job.Open(b.dir, job.Options{Who: "test", Command: "render", Settings: b.settings})
	if err != nil {
		t.Fatal(err)
	}
	before := treeOf(t, b.dir)
	ctx := context.Background()
	s, err := OpenShowing(ctx, j, nil)
	if err != nil {
		t.Fatal(err)
	}
	sets := Sets(b.settings)
	names, err := s.Names(ctx, sets)
	if err != nil {
		t.Fatal(err)
	}
	shown := map[string]Shown{}
	for _, set := range sets {
		for _, path := range s.Pictures() {
			got, err := s.Show(ctx, set, path)
			if path == "c.png" {
				if err == nil {
					t.Errorf("%s of %s is shown", set.Name, path)
				}
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			shown[set.Name+"/"+names[set.Name][path].File] = got
		}
	}
	whole, err := s.Uncut(ctx, sets[len(sets)-1], "a/IMG_0001.jpg", 90)
	if err != nil || whole.Width != 90 || whole.Height != 60 || whole.Stamped || whole.Cropped() {
		t.Errorf("uncut: %d by %d, %v, %v, %v", whole.Width, whole.Height, whole.Stamped, whole.Cropped(), err)
	}
	if after := treeOf(t, b.dir); !maps.Equal(before, after) {
		t.Error("something was written")
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	if n := names["lab"]["b/IMG_0001.jpg"]; n != (Name{"0001-IMG_0001.jpg", 1}) {
		t.Errorf("the earlier of both is %+v", n)
	}
	if crop := shown["album/IMG_0001.jpg"]; !crop.Cropped() || !crop.Stamped || crop.Kept != image.Rect(40, 0, 120, 80) || crop.Full != image.Pt(120, 80) {
		t.Errorf("%+v of %v, stamped %v", crop.Kept, crop.Full, crop.Stamped)
	}
	if _, err := b.run(Options{Sets: sets}); err != nil {
		t.Fatal(err)
	}
	if len(shown) != 10 {
		t.Fatalf("%d files are shown", len(shown))
	}
	for file, got := range shown {
		want, err := os.ReadFile(filepath.Join(b.dir, SetsFolder, filepath.FromSlash(file)))
		if err != nil || !bytes.Equal(got.Bytes, want) {
			t.Errorf("%s is not what was shown: %d bytes, %d; %v", file, len(got.Bytes), len(want), err)
		}
	}
}

// A stamp that is not there is an error of the sets that want it; a form that must not
// be cropped is one of that set.
func TestShowSaysWhyNot(t *testing.T) {
	b := newBench(t)
	b.settings.Sets = map[string]job.SetSettings{"square": {Exact: &job.Dimensions{W: 60, H: 60}}}
	b.settings.Stamp = job.StampSettings{Picture: text(filepath.Join(b.dir, "no such stamp.png"))}
	b.put("a.jpg", finishedPicture(t, 3, day(12), "1001"))
	j, err := job.Open(b.dir, job.Options{Who: "test", Command: "render", Settings: b.settings})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	s, err := OpenShowing(context.Background(), j, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, set := range Sets(b.settings) {
		_, err := s.Show(context.Background(), set, "a.jpg")
		var stamp *StampError
		var shape *resample.ShapeError
		switch set.Name {
		case "online", "proofs":
			if !errors.As(err, &stamp) {
				t.Errorf("%s: %v", set.Name, err)
			}
		case "square":
			if !errors.As(err, &shape) {
				t.Errorf("%s: %v", set.Name, err)
			}
		default:
			if err != nil {
				t.Errorf("%s: %v", set.Name, err)
			}
		}
	}
	if names, err := s.Names(context.Background(), Sets(b.settings)); err != nil || names["online"]["a.jpg"].File == "" {
		t.Errorf("names: %v, %v", names, err)
	}
	os.Remove(filepath.Join(b.dir, FinishedFolder, "a.jpg"))
	if _, err := s.Show(context.Background(), Sets(b.settings)[0], "a.jpg"); err == nil {
		t.Error("a picture that is gone is shown")
	}
}
