package output

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/returned"
	"garner/preview/exif"
	"garner/preview/finished"
)

func TestStem(t *testing.T) {
	wall := time.Date(2026, 6, 13, 14, 3, 9, 0, time.UTC)
	known := Tie{Frame: "A/LMR_0001", Scene: "First dance", Body: "A"}
	for _, c := range []struct {
		pattern string
		tie     Tie
		taken   time.Time
		want    string
	}{
		{"{number}-{name}", known, wall, "0007-x"},
		{"{set} {date} {time} {frame}", known, wall, "lab 2026-06-13 140309 A-LMR_0001"},
		{"{scene}_{body}-{number}", known, wall, "First dance_A-0007"},
		{"{scene}-{body}-{number}", Tie{}, wall, "0007"},
		{"{number}-{scene}-{body}", Tie{}, wall, "0007"},
		{"Berg-{body}-{number}", Tie{}, wall, "Berg-0007"},
		{"{number}{date}x", Tie{}, time.Time{}, "0007x"},
		{"{date}{scene}", Tie{}, time.Time{}, "_"},
		{"{name}_", Tie{}, wall, "x_"},
		// A scene is named by a person, and a name is no path.
		{"{scene}-{number}", Tie{Scene: "../rings: \"her\"/his?"}, wall, ".._rings_ _her__his_-0007"},
		{"{scene}", Tie{Scene: "con"}, wall, "_con"},
		{"{scene}", Tie{Scene: strings.Repeat("ä", 200)}, wall, strings.Repeat("ä", maxStem/2)},
	} {
		p := &picture{file: file{path: "deep/x.jpg"}, number: 7, tie: c.tie}
		if !c.taken.IsZero() {
			p.taken = exif.Time{Wall: c.taken, Digits: 0}
		}
		if got := stem(c.pattern, Set{Name: "lab"}, p); got != c.want {
			t.Errorf("%s of %+v: %q, wanted %q", c.pattern, c.tie, got, c.want)
		}
	}
}

// A picture has the scene, the body and the corrected time of its first frame.
func TestFrameTies(t *testing.T) {
	j, err := job.Open(t.TempDir(), job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	key := "serial:Lumora Five:2002"
	var frames []cull.Frame
	layout := cull.Layout{Scenes: []cull.Scene{{ID: 0, Name: "01", First: "f0"}, {ID: 1, Name: "Rings", First: "f1"}}}
	for i := range 2 {
		f := cull.Frame{ID: cull.ID(fmt.Sprint("f", i)), Name: fmt.Sprint("B/LMR_000", i), Kind: "DNG", Body: key,
			Files: []cull.File{{Path: fmt.Sprintf("B/LMR_000%d.DNG", i), Role: cull.RoleMain, Size: 1}}}
		frames = append(frames, f)
		layout.Places = append(layout.Places, cull.Place{Frame: f.ID, Moment: i, Scene: i, Corrected: cull.Stamp{Wall: time.Date(2026, 6, 13, 14, i, 0, 0, time.UTC)}})
	}
	if err := j.SaveFrames(frames); err != nil {
		t.Fatal(err)
	}
	if err := j.SaveBodies([]cull.Body{{Key: key, Make: "Lumora", Model: "Lumora Five", Serial: "2002", Photographer: "Anna Berg"}}); err != nil {
		t.Fatal(err)
	}
	if _, err := j.Append(job.Letter(key, "B")); err != nil {
		t.Fatal(err)
	}
	if err := j.SaveLayout(layout); err != nil {
		t.Fatal(err)
	}
	ties, err := FrameTies(j, &returned.Matched{Ties: []returned.Tie{
		{Path: "finished/a.jpg", State: returned.Tied, Frames: []cull.ID{"f1", "f0"}},
		{Path: "finished/b.jpg", State: returned.Open, Frames: []cull.ID{"f0"}},
	}})
	if err != nil {
		t.Fatal(err)
	}
	p := opened(t, file2002(t))
	if got := ties.Of("a.jpg", p); got.Frame != "B/LMR_0001" || got.Scene != "Rings" || got.Body != "B" || got.Taken.Wall.Minute() != 1 {
		t.Errorf("%+v", got)
	}
	// The editor left no serial number: the frame says whose body it was.
	if got := ties.Of("a.jpg", &finished.Picture{}); got.Creator != "Anna Berg" || got.Body != "B" {
		t.Errorf("%+v", got)
	}
	// No frame is known, but the body is, by its serial number.
	if got := ties.Of("b.jpg", p); got.Frame != "" || got.Scene != "" || got.Body != "B" {
		t.Errorf("%+v", got)
	}
}

// file2002 is a picture that body 2002 took.
func file2002(t *testing.T) string {
	path := t.TempDir() + "/x.jpg"
	put(t, path, finishedPicture(t, 1, day(10), "2002"))
	return path
}
