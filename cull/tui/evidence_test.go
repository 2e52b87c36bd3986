package tui

import (
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// clipped is a job of one frame whose left third is white and whose right third is
// black.
func clipped(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "job")
	if err := os.Mkdir(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	m := image.NewRGBA(image.Rect(0, 0, 1620, 1080))
	for y := range 1080 {
		for x := range 1620 {
			m.Set(x, y, []color.Color{color.White, color.Gray{128}, color.Black}[x/540])
		}
	}
	f, err := os.Create(filepath.Join(dir, "IMG_0001.JPG"))
	if err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(f, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	size, _ := f.Seek(0, 2)
	f.Close()
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	id := cull.ID("0000000000000001")
	stamp := cull.Stamp{Wall: time.Date(2026, 6, 13, 11, 0, 0, 0, time.UTC)}
	if err := j.SaveFrames([]cull.Frame{{ID: id, Name: "IMG_0001", Kind: "JPEG", Taken: stamp,
		Files:    []cull.File{{Path: "IMG_0001.JPG", Role: cull.RoleMain, Kind: "JPEG", Size: size}},
		Previews: []cull.Preview{{File: "IMG_0001.JPG", Role: "screen", Length: size, Width: 1620, Height: 1080, Whole: true}}}}); err != nil {
		t.Fatal(err)
	}
	if err := j.SaveLayout(cull.Layout{Scenes: []cull.Scene{{Name: "01", First: id}},
		Places: []cull.Place{{Frame: id, Kind: cull.Single, Corrected: stamp}}}); err != nil {
		t.Fatal(err)
	}
	return dir
}

// seenPixels is the picture as the terminal shows it.
func (d *driver) seenPixels() *image.NRGBA {
	d.t.Helper()
	if d.m.pictures.pixels() {
		r := d.rectangle()
		p, ok := d.grid.PlacementAt((r.Min.X+r.Max.X)/2, (r.Min.Y+r.Max.Y)/2)
		if !ok {
			d.t.Fatal("there is no picture in the middle of its place")
		}
		return p.Pixels()
	}
	m, err := d.grid.Pixels(d.rectangle())
	if err != nil {
		d.t.Fatal(err)
	}
	return m
}

// What is clipped is hatched in every way of pictures: even half blocks show dark lines
// on white and bright ones on black, and nothing on what is between.
func TestHatchedInEveryMode(t *testing.T) {
	dir := clipped(t)
	for _, mode := range []string{"blocks", "kitty", "kitty-cells"} {
		t.Run(mode, func(t *testing.T) {
			d := drive(t, dir, 120, 40, Options{Picture: mode, TmpDir: t.TempDir()})
			luma := func() (least, most [3]int) {
				t.Helper()
				pix := d.seenPixels()
				b := pix.Bounds()
				for k := range 3 {
					least[k], most[k] = 255, 0
					// Well inside each third: its edges are scaled.
					for y := b.Min.Y + b.Dy()/8; y < b.Max.Y-b.Dy()/8; y++ {
						for x := b.Min.X + b.Dx()*(4*k+1)/12; x < b.Min.X+b.Dx()*(4*k+3)/12; x++ {
							v := int(color.GrayModel.Convert(pix.At(x, y)).(color.Gray).Y)
							least[k], most[k] = min(least[k], v), max(most[k], v)
						}
					}
				}
				return least, most
			}
			plainLeast, plainMost := luma()
			if plainLeast[0] < 230 || plainMost[2] > 25 {
				t.Fatalf("the picture has %v to %v", plainLeast, plainMost)
			}
			d.press("c", "C")
			d.sees(`/// \\\  clipped, black in preview`)
			least, most := luma()
			if least[0] > 110 || most[0] < 200 {
				t.Errorf("the highlights go from %d to %d: no lines are to be seen", least[0], most[0])
			}
			if most[2] < 145 || least[2] > 55 {
				t.Errorf("the shadows go from %d to %d: no lines are to be seen", least[2], most[2])
			}
			if least[1] < plainLeast[1]-12 || most[1] > plainMost[1]+12 {
				t.Errorf("what is between goes from %d to %d, before from %d to %d", least[1], most[1], plainLeast[1], plainMost[1])
			}
			d.press("c", "C")
			if least, most := luma(); least != plainLeast || most != plainMost {
				t.Errorf("switched off it goes from %v to %v, before from %v to %v", least, most, plainLeast, plainMost)
			}
		})
	}
}

// Whether faces may be looked for is answered by typing it and nothing else; the key
// changes the answer later, and a key that belongs to the picture never answers.
func TestAnswerAboutFaces(t *testing.T) {
	d := driveKitty(t, demo(t), 120, 40, Options{})
	d.press("h")
	d.sees("nobody has said whether they may be; E answers")
	d.press("E", "enter")
	if d.m.field != nil || d.desk.Faces().Asked {
		t.Error("an empty answer was taken for one")
	}
	d.press("E").typed("k").press("enter")
	d.sees("neither yes nor no")
	d.press("E")
	d.sees("personal data")
	d.typed("yes").press("esc")
	if d.desk.Faces().Asked {
		t.Error("Esc answered")
	}
	d.press("E").typed("yes").press("enter")
	d.sees("faces are looked for in this job")
	d.press("h")
	d.sees("are not measured yet")
	d.press("E")
	d.sees("Answered yes by anna on")
	d.press("down", "down", "enter")
	d.sees("no faces are looked for in this job")
	if c := d.desk.Faces(); c.Yes || !c.Asked {
		t.Errorf("%+v", c)
	}
	if n := len(decided(d)); n != 0 {
		t.Errorf("%d frames were decided", n)
	}
}

// In half blocks no face is gone to, and it says why.
func TestNoFacesInHalfBlocks(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	d.press("h")
	d.sees("show no single pixels")
}
