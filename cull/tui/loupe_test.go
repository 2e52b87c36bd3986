package tui

import (
	"fmt"
	"image"
	"image/color"
	"path/filepath"
	"strings"
	"testing"

	"garner/preview/term"
	"garner/testdata/testterm"
)

// placed is the picture that the terminal shows.
func (d *driver) placed() testterm.Image {
	d.t.Helper()
	for _, im := range d.grid.Images() {
		if len(im.Placements) > 0 && !im.Placements[0].Virtual {
			return im
		}
	}
	d.t.Fatal("the terminal shows no picture")
	return testterm.Image{}
}

// In the loupe a pixel of the JPEG is a pixel of the screen, and the picture's
// place is full of them, beside a ladder and without.
func TestLoupePixelForPixel(t *testing.T) {
	d := driveKitty(t, demo(t), 120, 40, Options{})
	d.press("space")
	for _, walk := range []string{"right", "right", "down", "shift+right", "t"} {
		d.press(walk)
		s := d.desk.Shot()
		if s.Loupe == nil || !s.Whole {
			t.Fatalf("after %s the loupe shows %+v", walk, s.Loupe)
		}
		im, area := d.placed(), d.m.at.picture
		if size := im.Pix.Rect.Size(); size != image.Pt(area.cols*10, area.rows*20) || s.Loupe.Part.Size() != size {
			t.Fatalf("after %s: %v pixels on %dx%d cells of 10x20, of the part %v", walk, size, area.cols, area.rows, s.Loupe.Part)
		}
		m := s.Picture
		for y := 0; y < m.Height; y += 3 {
			for x := 0; x < m.Width; x += 3 {
				c := y/m.SubY*m.CStride + x/m.SubX
				r, g, b := color.YCbCrToRGB(m.Y[y*m.YStride+x], m.Cb[c], m.Cr[c])
				got := im.Pix.NRGBAAt(x, y)
				if off(got.R, r) > 2 || off(got.G, g) > 2 || off(got.B, b) > 2 {
					t.Fatalf("after %s: %v at %d,%d, want %d %d %d", walk, got, x, y, r, g, b)
				}
			}
		}
	}
}

func off(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }

func TestLoupeKeys(t *testing.T) {
	d := driveKitty(t, demo(t), 120, 40, Options{})
	d.press("shift+left")
	d.sees("the loupe is not open; Space opens it")
	d.press("space")
	d.sees("1:1 [")
	d.press("shift+left")
	d.sees("moved")
	d.press("k", "d")
	if got := decided(d); len(got) != 2 {
		t.Errorf("decided %v", got)
	}
	d.sees("1:1 [", "moved")
	d.press("i")
	d.sees("loupe")
	d.press("esc", "esc")
	if d.desk.InLoupe() {
		t.Error("Esc does not close the loupe")
	}
	d.press("space", "space")
	if strings.Contains(d.grid.Text(), "1:1 [") {
		t.Error("closed, the top line still speaks of it")
	}
	// Nothing is decided while the pixels are not on the screen.
	d.withhold = true
	d.press("space", "k", "d", "shift+left", "o", "k")
	d.sees("nothing decided")
	if got := decided(d); len(got) != 2 {
		t.Errorf("decided %v while nothing could be seen", got)
	}
	d.withhold = false
	d.landed(d.desk.Shot().ID, term.Drawn)
	d.press("k")
	if got := decided(d); len(got) != 3 {
		t.Errorf("decided %v", got)
	}
}

// Half blocks refuse the loupe, with what would help, also when they come in the
// middle of it.
func TestNoLoupeInHalfBlocks(t *testing.T) {
	d := drive(t, demo(t), 120, 40, Options{})
	d.press("space")
	d.sees("not its focus")
	if d.desk.InLoupe() {
		t.Error("it is open")
	}
	d = drive(t, demo(t), 120, 40, Options{Picture: "quadrants"})
	d.press("space")
	d.sees("not its focus")
	if d.desk.InLoupe() {
		t.Error("it is open in quadrants")
	}
	d = driveKitty(t, demo(t), 120, 40, Options{})
	d.press("space")
	for i := 0; i < 9 && d.m.pictures.mode != term.Blocks; i++ {
		d.m.Update(landedMsg{ID: d.desk.Shot().ID, State: term.Failed, Err: term.ErrRefused})
		d.settle()
	}
	if d.m.pictures.mode != term.Blocks || d.desk.InLoupe() {
		t.Errorf("%v, in the loupe %v", d.m.pictures.mode, d.desk.InLoupe())
	}
	d.press("k")
	if got := decided(d); len(got) != 1 {
		t.Errorf("decided %v", got)
	}
}

// Where files go inside of the text the JPEG goes along as the camera made it; no
// other way keeps it in memory.
func TestSourcesForFilesInText(t *testing.T) {
	for _, mode := range []string{"inline", "kitty"} {
		d := drive(t, demo(t), 120, 40, Options{Picture: mode})
		with := 0
		for _, s := range append(d.desk.Coming(), d.desk.Shot()) {
			if len(s.Source) > 0 {
				with++
			}
		}
		if (with > 0) != (mode == "inline") {
			t.Errorf("%s: %d shots with their JPEG", mode, with)
		}
	}
}

// A picture that the terminal was sent ahead is placed and nothing more, whole and
// in the loupe.
func TestSentAhead(t *testing.T) {
	for _, mode := range []string{"kitty", "kitty-cells"} {
		t.Run(mode, func(t *testing.T) {
			d := driveKitty(t, demo(t), 120, 40, Options{Picture: mode})
			d.toBurst(3)
			for _, key := range []string{"right", "left", "down", "space", "down", "up", "right"} {
				d.awaitAhead()
				d.m.Update(keyMsg(term.Key{Name: key, At: d.now}))
				if key == "space" { // its pixels are not ahead
					d.settle()
					continue
				}
				if len(d.waiting) != 1 {
					t.Fatalf("after %s nothing is shown at once", key)
				}
				shown := d.waiting[0].Build()
				if limit := d.m.at.picture.cols*d.m.at.picture.rows*8 + 2000; len(shown) > limit {
					t.Errorf("%s costs %d bytes, more than placing takes", key, len(shown))
				}
				d.waiting[0].Build = func() []byte { return shown }
				d.settle()
				if c := d.grid.Complaints(); len(c) > 0 {
					t.Fatalf("the terminal complains: %v", c)
				}
			}
		})
	}
}

// The screen in the loupe, in the sizes that count. The pictures are masked.
func TestLoupeScreens(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes of painting under the race detector")
	}
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		t.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(t *testing.T) {
			d := driveKitty(t, demo(t), size[0], size[1], Options{})
			var b strings.Builder
			shot := func(title string) {
				screen := d.grid.Styled()
				if !d.m.covered() && d.desk.Shot().Picture != nil {
					screen = d.grid.Styled(d.rectangle())
				}
				fmt.Fprintf(&b, "== %s\n%s\n", title, squeeze(sizes.ReplaceAllString(screen, "SIZE ")))
			}
			d.toBurst(3)
			d.press("space")
			shot("the loupe")
			d.press("shift+left", "shift+up")
			shot("moved")
			d.press("down")
			shot("the next rung")
			for range 9 {
				d.press("shift+left")
			}
			shot("at the edge")
			d.press("d", "u")
			shot("dropped and taken back")
			d.press("t")
			shot("turned")
			d.press("t", "t", "t", "i")
			shot("facts")
			d.press("i", "tab")
			shot("a later pass is not there")
			compare(t, filepath.Join("testdata", fmt.Sprintf("loupe_%dx%d.golden", size[0], size[1])), b.String())
		})
	}
}
