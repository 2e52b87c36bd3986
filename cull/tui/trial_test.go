package tui

import (
	"bytes"
	"context"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/station"
)

// settingsOfSets are the built-in sets, with a stamp, and two of exact sizes.
func settingsOfSets() job.Settings {
	to := func(s string) *string { return &s }
	yes := true
	return job.Settings{
		Stamp: job.StampSettings{Text: to("Berg")},
		Sets: map[string]job.SetSettings{
			"album":  {Exact: &job.Dimensions{W: 600, H: 600}, Crop: &yes, Stamp: &yes, Name: to("{number}-{name}")},
			"square": {Exact: &job.Dimensions{W: 300, H: 300}},
		},
	}
}

// finishedPicture writes a picture whose colours tell where in it one is.
func finishedPicture(t testing.TB, dir, path string, w, h int) {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetRGBA(x, y, color.RGBA{uint8(40 + 200*x/w), uint8(40 + 200*y/h), 90, 255})
		}
	}
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	putFinished(t, dir, path, b.Bytes())
}

func putFinished(t testing.TB, dir, path string, data []byte) {
	t.Helper()
	to := filepath.Join(dir, "finished", filepath.FromSlash(path))
	if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, data, 0o666); err != nil {
		t.Fatal(err)
	}
}

func driveTrial(t testing.TB, width, height int, o Options, settings job.Settings) (*beside, *station.Trial) {
	t.Helper()
	dir := t.TempDir()
	finishedPicture(t, dir, "day/one.jpg", 1800, 1200)
	finishedPicture(t, dir, "two.jpg", 800, 1200)
	putFinished(t, dir, "zz broken.jpg", []byte("no picture"))
	j, err := job.Open(dir, job.Options{Who: "anna", Command: "render", Settings: settings})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	desk, err := station.OpenTrial(context.Background(), j, station.TrialOptions{Sets: output.Sets(settings), Set: "online"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(desk.Close)
	return driveBeside(t, desk, width, height, o, func(s Screen, o Options) (full, error) { return NewTrial(desk, s, width, height, o) }), desk
}

// Every picture is seen in every set, with what its file would be; what cannot be cut
// is said in its place.
func TestTrialKeys(t *testing.T) {
	b, _ := driveTrial(t, 120, 40, Options{Picture: "kitty"}, settingsOfSets())
	b.sees("online  day/one.jpg  would be one.jpg, number 1", "picture 1 of 3", "set 2 of 6", "1800x1200", "stamped", "quality 85", "sRGB", "300 ppi")
	if at := b.pixels(); at != image.Pt(37*20*3/2, 37*20) {
		t.Errorf("the picture takes %v pixels", at)
	}
	b.press("left")
	b.sees("this is the first picture")
	b.press("down", "down", "down")
	b.sees("album", "would be 0001-one.jpg", "600x600", "33 % cut away", "set 5 of 6")
	if at := b.pixels(); at != image.Pt(740, 740) {
		t.Errorf("the crop takes %v pixels", at)
	}
	b.press("x")
	b.sees(" what is cut away ")
	if at := b.pixels(); at != image.Pt(1110, 740) {
		t.Errorf("with what is cut away it takes %v pixels", at)
	}
	b.press("tab")
	b.sees("one.jpg cannot be cut for the set square", "it would have to be cropped", "crop = true in [sets.square]")
	b.press("space")
	b.sees("there is no file to look into")
	b.press("down")
	b.sees("lab  day/one.jpg", "quality 95", "no stamp")
	b.press("x")
	b.sees("lab shows all of this picture: nothing is cut away")
	b.press("up", "up", "right")
	b.sees("album  two.jpg  would be 0002-two.jpg, number 2", "picture 2 of 3")
	b.press("right")
	b.sees("zz broken.jpg cannot be cut for the set album", "neither a JPEG nor a TIFF nor a PNG")
	b.press("right")
	b.sees("this is the last picture")
	b.press("?")
	b.sees("set by set", "picture by picture", "very bytes")
	b.press("?", "z")
	b.sees("z does nothing here; ? shows the keys")
}

// At 1:1 a pixel of the file is a pixel of the screen, first where the stamp is.
func TestTrialPixels(t *testing.T) {
	b, desk := driveTrial(t, 80, 24, Options{Picture: "kitty"}, settingsOfSets())
	b.press("shift+left")
	b.sees("the file is not seen 1:1")
	b.press("space")
	l := desk.Here().Loupe
	if at := b.pixels(); l == nil || at != image.Pt(790, 420) || l.From != "the stamp" || l.Part != image.Rect(1010, 780, 1800, 1200) {
		t.Fatalf("%v pixels of %+v", at, l)
	}
	b.sees("1:1")
	b.press("shift+right")
	b.sees("this is the right edge of the picture")
	b.press("shift+left")
	if l := desk.Here().Loupe; l.From != "" || l.Part != image.Rect(1010-263, 780, 1800-263, 1200) {
		t.Errorf("moved to %v", l.Part)
	}
	b.press("right")
	if l := desk.Here().Loupe; l == nil || l.Size != image.Pt(800, 1200) {
		t.Errorf("the next picture shows %+v", l)
	}
	b.press("esc")
	if desk.InLoupe() {
		t.Error("Esc does not go back")
	}
}

// Half blocks show sets as well, and say what they cannot do.
func TestTrialInHalfBlocks(t *testing.T) {
	b, _ := driveTrial(t, 80, 24, Options{Picture: "blocks"}, settingsOfSets())
	b.sees("half blocks show what is in a picture", "▀")
	b.press("space")
	b.sees("! half blocks show what is in a picture")
	if w, h := b.grid.Size(); w != 80 || h != 24 {
		t.Fatal(w, h)
	}
	b.grid.Resize(30, 10)
	b.lines = nil
	b.send(sizeMsg(30, 10))
	b.sees("too small")
	b.press("q")
	if !b.m.frame().left {
		t.Error("q does not leave")
	}
}

// Keys of one's own are those of the station where they mean the same.
func TestTrialOwnKeys(t *testing.T) {
	b, _ := driveTrial(t, 120, 40, Options{Picture: "kitty", Keys: map[string][]string{"next-moment": {"L"}, "cut-away": {"y"}, "keep": {"enter"}}}, settingsOfSets())
	b.press("L")
	b.sees("picture 2 of 3")
	b.press("y")
	b.sees("online shows all of this picture")
	_, err := NewTrial(nil, nil, 80, 24, Options{Keys: map[string][]string{"cut-away": {"q"}}})
	if err == nil || !strings.Contains(err.Error(), "two things") {
		t.Errorf("%v", err)
	}
}

// A missing stamp is a sentence where the picture would be, and other sets are seen all
// the same.
func TestTrialWithoutItsStamp(t *testing.T) {
	s := settingsOfSets()
	gone := filepath.Join(t.TempDir(), "mark.png")
	s.Stamp = job.StampSettings{Picture: &gone}
	b, _ := driveTrial(t, 120, 40, Options{Picture: "kitty"}, s)
	b.sees("one.jpg cannot be cut for the set online", "the stamp cannot be made", "[stamp] in garner.toml", "would be one.jpg")
	b.press("up")
	b.sees("lab", "quality 95")
}
