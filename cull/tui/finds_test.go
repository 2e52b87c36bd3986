package tui

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/station"
)

// foundIn makes frames that were found: pictures of their own colours in several jobs,
// one of which only a thumbnail is left, one that is broken, one that is gone.
func foundIn(t testing.TB, dir string, n int) []station.FoundFrame {
	t.Helper()
	var list []station.FoundFrame
	for i := range n {
		path := fmt.Sprintf("F%03d.jpg", i)
		w, h := 900, 600
		if i%5 == 4 {
			w, h = h, w
		}
		finishedPicture(t, dir, path, w, h)
		list = append(list, station.FoundFrame{Name: fmt.Sprintf("A/IMG_%04d", i), Job: fmt.Sprintf("Job %d", i/4), At: time.Date(2026, 6, 13, 14, i, 5, 0, time.UTC),
			Scene: "church", Body: "A", Answer: cull.Answer(i % 3), File: filepath.Join(dir, "finished", path), Kind: "original"})
	}
	if n > 3 {
		thumb, err := os.ReadFile(list[1].File)
		if err != nil {
			t.Fatal(err)
		}
		putFinished(t, dir, "broken.jpg", []byte("no picture"))
		list[1].File, list[1].Thumb = filepath.Join(dir, "finished", "broken.jpg"), func() ([]byte, error) { return bytes.Clone(thumb), nil }
		list[2].File = filepath.Join(dir, "finished", "broken.jpg")
		list[3].File, list[3].Kind = "", ""
	}
	return list
}

func driveFinds(t testing.TB, n, width, height int, taking string, o Options) (*beside, *station.Finds) {
	t.Helper()
	desk := station.OpenFinds(station.FindsOptions{Frames: foundIn(t, t.TempDir(), n), Taking: taking})
	t.Cleanup(desk.Close)
	return driveBeside(t, desk, width, height, o, func(s Screen, o Options) (full, error) { return NewFinds(desk, s, width, height, o) }), desk
}

// Frames that were found are seen at once with what tells them apart; one is seen large
// and at its own pixels; those chosen are told to whoever copies them.
func TestFindsKeys(t *testing.T) {
	b, desk := driveFinds(t, 9, 160, 50, "For Anna", Options{Picture: "kitty"})
	b.sees("frame 1 of 9", "A/IMG_0000", "Job 0", "2026-06-13 14:00:05", "scene church", "original", "open", "cannot be shown", "IMG_0008", "14:08 9", "no file of this frame is there", "found in 3 jobs")
	if n := len(b.placed()); n != 7 {
		t.Errorf("%d pictures are shown, want those of 7 frames", n)
	}
	b.press("t", "right", "right", "right", "t")
	b.sees("no file of this frame is there any more: it cannot be taken", "1 to be copied into For Anna", "frame 4 of 9")
	b.press("right", "t", "enter")
	b.sees("frame 5 of 9", "to be copied", "2 to be copied into For Anna")
	if p := b.pixels(); p.X >= p.Y {
		t.Errorf("a picture that stands is shown as %v", p)
	}
	b.press("right")
	b.sees("frame 6 of 9", "IMG_0005", "dropped")
	b.press("space")
	b.sees("1:1")
	if desk.Shot().Loupe == nil || desk.Shot().Loupe.Part.Empty() {
		t.Errorf("no pixels are seen: %+v", desk.Shot().Loupe)
	}
	before := desk.Shot().Loupe.Part
	b.press("shift+left", "shift+up")
	if before.Dx() < 900 && desk.Shot().Loupe.Part == before {
		t.Error("it does not move")
	}
	b.press("esc")
	if desk.InLoupe() || desk.InFan() {
		t.Error("esc does not lead from the pixels to the frame")
	}
	b.press("esc")
	if !desk.InFan() {
		t.Error("esc does not lead back to all")
	}
	if got := desk.Marked(); !slices.Equal(got, []int{0, 4}) {
		t.Errorf("to be taken are %v", got)
	}
	b.press("t", "t")
	b.press("T")
	b.sees("8 to be copied", "all but 1, of which no file is there any more")
	b.press("T")
	if len(desk.Marked()) != 0 {
		t.Error("not all are let go")
	}
	b.press("z")
	b.sees("z does nothing here")
	b.press("?")
	b.sees("take this frame", "page by page", "Ctrl-C leaves without them")
	b.press("x", "q")
	if !b.m.frame().left || b.m.frame().ended != nil {
		t.Errorf("q does not leave: %v", b.m.frame().ended)
	}
}

// What the file does not show the kept thumbnail does, and it is said.
func TestFindsThumbnails(t *testing.T) {
	b, desk := driveFinds(t, 5, 160, 50, "", Options{Picture: "kitty"})
	b.press("right")
	b.sees("only its thumbnail")
	if tiles := desk.Tiles(); tiles[1].Why != "" || tiles[1].Picture == nil || tiles[2].Why == "" || tiles[3].Why == "" {
		t.Errorf("tiles 2 to 4 say %q, %q, %q", tiles[1].Why, tiles[2].Why, tiles[3].Why)
	}
	b.press("t")
	b.sees("no folder was named to take frames into")
	b.press("right", "enter")
	b.sees("frame 3 of 5")
	b.press("right", "space")
	b.sees("no file of this frame is there any more")
}

// Many are on pages; whoever breaks off wants no copies.
func TestFindsPages(t *testing.T) {
	b, desk := driveFinds(t, 70, 120, 40, "X", Options{Picture: "kitty"})
	n := len(desk.Tiles())
	if n >= 70 || n < 6 {
		t.Fatalf("%d tiles are seen", n)
	}
	b.sees(fmt.Sprintf("frames 1-%d of 70", n))
	b.press("pgdown")
	b.sees(fmt.Sprintf("frame %d of 70", n+1), fmt.Sprintf("frames %d-", n+1))
	b.press("pgup", "left")
	b.sees("this is the first frame")
	b.press("down")
	if h := desk.Here(); h.Number != desk.Shot().Tiling.Columns+1 {
		t.Errorf("a row down is frame %d", h.Number)
	}
	b.press("t", "ctrl+c")
	if !errors.Is(b.m.frame().ended, context.Canceled) {
		t.Errorf("breaking off ends with %v", b.m.frame().ended)
	}
}

// Bodies give the same numbers: however many tiles there are, the folder that tells
// them apart stands with the name, and that a frame is to be copied is never left out.
func TestFindsTellBodiesApart(t *testing.T) {
	for _, size := range []image.Point{{160, 50}, {80, 26}, {42, 15}} {
		dir := t.TempDir()
		finishedPicture(t, dir, "F.jpg", 900, 600)
		var list []station.FoundFrame
		for i := range 24 {
			list = append(list, station.FoundFrame{Name: fmt.Sprintf("%c/VRNH%04d", 'A'+i%2, i/2), Job: "Job", Answer: cull.No, Body: string(rune('A' + i%2)),
				At: time.Date(2026, 6, 13, 14, i, 5, 0, time.UTC), File: filepath.Join(dir, "finished", "F.jpg"), Kind: "original"})
		}
		desk := station.OpenFinds(station.FindsOptions{Frames: list, Taking: "X"})
		defer desk.Close()
		b := driveBeside(t, desk, size.X, size.Y, Options{Picture: "blocks"}, func(s Screen, o Options) (full, error) { return NewFinds(desk, s, size.X, size.Y, o) })
		b.press("t")
		for i := range desk.Tiles() {
			b.sees(list[i].Name)
		}
		if row := regexp.MustCompile(`(?m)^.*▸-.*$`).FindString(b.grid.Text()); !regexp.MustCompile(`▸- A/VRNH0000 +(copy|\*)`).MatchString(row) {
			t.Errorf("%v: the frame to be copied is %q", size, row)
		}
	}
}

// It works in half blocks and small windows, and after another size of the window.
func TestFindsInHalfBlocks(t *testing.T) {
	b, desk := driveFinds(t, 6, 80, 24, "X", Options{Picture: "blocks"})
	b.sees("IMG_0000", "frame 1 of 6")
	b.press("space")
	b.sees("half blocks")
	resize := func(w, h int) {
		b.grid.Resize(w, h)
		b.lines = nil
		b.send(sizeMsg(w, h))
	}
	resize(30, 8)
	b.sees("the window is too small")
	resize(100, 30)
	b.press("enter")
	b.sees("▀")
	if desk.Shot().Picture == nil {
		t.Error("nothing is shown large")
	}
	resize(40, 12)
	b.sees("IMG_0000", "▀")
}

// A pipe in the place of a file would be waited for without end.
func TestFindsOpensFilesAlone(t *testing.T) {
	desk := station.OpenFinds(station.FindsOptions{Frames: []station.FoundFrame{{Name: "A/IMG_0001", File: t.TempDir()}}})
	defer desk.Close()
	desk.SetPlaces(500, station.FanArea{Cols: 60, Rows: 20, Pixels: image.Pt(600, 400)}, image.Point{})
	for desk.Busy() {
		n, _ := desk.Next()
		desk.Take(n)
	}
	if tile := desk.Tiles()[0]; tile.Why != "it is no file" {
		t.Errorf("a folder is shown: %q", tile.Why)
	}
}
