package tui

import (
	"context"
	"image"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/returned"
	"garner/cull/station"
)

func driveTying(t *testing.T, width, height int, o Options) (*beside, *station.Tying, *job.Job) {
	t.Helper()
	dir := demo(t)
	finishedPicture(t, dir, "day/one.jpg", 900, 600)
	finishedPicture(t, dir, "two.jpg", 400, 600)
	j, err := job.Open(dir, job.Options{Who: "anna", Command: "render"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	l, err := j.Layout()
	if err != nil {
		t.Fatal(err)
	}
	id := func(i int) cull.ID { return l.Places[i].Frame }
	m := returned.Matched{Ties: []returned.Tie{
		{Path: "finished/day/one.jpg", Why: []string{"it looks like several frames, and nothing says which"}, Nearest: []cull.ID{id(3), id(4), id(5)}},
		{Path: "finished/two.jpg", Why: []string{"it looks like no frame"}},
	}}
	desk, err := station.OpenTying(context.Background(), j, station.TyingOptions{Matched: &m})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := desk.Close(); err != nil {
			t.Error(err)
		}
	})
	return driveBeside(t, desk, width, height, o, func(s Screen, o Options) (full, error) { return NewTying(desk, s, width, height, o) }), desk, j
}

func shows(t *testing.T, j *job.Job, path string) ([]cull.ID, bool) {
	t.Helper()
	said, err := j.Finished()
	if err != nil {
		t.Fatal(err)
	}
	ids, ok := said["finished/"+path]
	return ids, ok
}

// The picture stands beside the frames that it may show; keys tie it to one, to several,
// to none, and take that back.
func TestTyingKeys(t *testing.T) {
	b, desk, j := driveTying(t, 120, 40, Options{Picture: "kitty"})
	b.sees("which frame is this?", "day/one.jpg", "1 of 2", "open: it looks like several frames", "frames that it may show, the nearest first")
	if n := len(b.placed()); n != 4 {
		t.Fatalf("%d pictures are shown", n)
	}
	tiles := desk.Shot().Tiles
	b.press("right", "m")
	b.sees("merge of ", "picked 1", "Enter the picked ones")
	b.press("left", "m", "enter")
	if ids, _ := shows(t, j, "day/one.jpg"); len(ids) != 2 || ids[0] != tiles[1].Frame || ids[1] != tiles[0].Frame {
		t.Errorf("it shows %v", ids)
	}
	b.sees("day/one.jpg is a merge of", "u takes it back", "two.jpg", "open: it looks like no frame", "all frames, in the order of the day")
	b.press("0")
	if ids, ok := shows(t, j, "two.jpg"); !ok || len(ids) != 0 {
		t.Errorf("it shows %v", ids)
	}
	b.sees("two.jpg shows none of the frames; no picture is left", "0 left")
	b.press("u")
	if _, ok := shows(t, j, "two.jpg"); ok {
		t.Error("it is not taken back")
	}
	b.press("p")
	b.sees("day/one.jpg", "is a merge of", "was open: it looks like several frames")
	b.press(":", "1", "2", "enter")
	if h := desk.Here(); !h.Around || !desk.Rungs()[11-(h.From-1)].Here {
		t.Errorf("%+v, %+v", h, desk.Rungs())
	}
	b.press(":", "x", "y", "z", "enter")
	b.sees(`nothing in this job fits "xyz"`)
	b.press("tab")
	b.sees("the nearest first")
	b.press("z")
	b.sees("z does nothing here")
	b.press("?")
	b.sees("the picture shows none of the", "row by row", "on the disk before it is shown")
	b.press("x", "q")
	if !b.m.frame().left {
		t.Error("q does not leave")
	}
}

// Until the terminal has answered, nothing is said.
func TestTyingDecidesOnlyWhatIsDrawn(t *testing.T) {
	b, _, j := driveTying(t, 120, 40, Options{Picture: "kitty"})
	b.withhold = true
	b.press("right")
	b.sees("wait…")
	b.press("enter")
	b.sees("not on the screen yet")
	if _, ok := shows(t, j, "day/one.jpg"); ok {
		t.Fatal("something was said of what was not drawn")
	}
	b.withhold = false
	b.press("left", "enter")
	if _, ok := shows(t, j, "day/one.jpg"); !ok {
		t.Error("nothing was said")
	}
}

// It works in half blocks and small windows, and after another size of the window.
func TestTyingInHalfBlocks(t *testing.T) {
	b, desk, _ := driveTying(t, 80, 24, Options{Picture: "blocks"})
	b.sees("▀", "which frame is this?")
	b.grid.Resize(60, 14)
	b.lines = nil
	b.send(sizeMsg(60, 14))
	b.sees("which frame", "▀")
	if desk.Here().Waiting {
		t.Error("it is never drawn in another size")
	}
	if at := b.m.frame().pictures.size(b.m.(*Tying).at.picture.area()); at == (image.Point{}) {
		t.Error("there is no room for the picture")
	}
}
