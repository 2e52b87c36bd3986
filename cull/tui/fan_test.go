package tui

import (
	"errors"
	"fmt"
	"image"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/station"
	"garner/preview/term"
	"garner/testdata/testjob"
)

// fanFrames is a wedding large enough for a moment of 40.
const fanFrames = 48

// moments are jobs of a wedding whose frames come in moments of these sizes; what
// is left over comes alone.
func moments(t testing.TB, frames int, sizes ...int) string {
	t.Helper()
	dir := testjob.Demo(t, frames, true)
	regroup(t, dir, func(l *cull.Layout) {
		left, moment := 0, -1
		for i := range l.Places {
			p := &l.Places[i]
			p.Series, p.Alike = "", 0
			if left == 0 {
				moment++
				if left = 1; len(sizes) > 0 {
					left, sizes = sizes[0], sizes[1:]
				}
				p.Kind = cull.Single
				if left > 1 {
					p.Kind = cull.Burst
				}
			} else {
				p.Kind = l.Places[i-1].Kind
				p.Scene = l.Places[i-1].Scene
			}
			left--
			p.Moment = moment
		}
	})
	return dir
}

// grouped is a wedding in moments of one's own, see testjob.Groups.
func grouped(t testing.TB, frames int, words string) string {
	t.Helper()
	dir := testjob.Demo(t, frames, true)
	regroup(t, dir, func(l *cull.Layout) { testjob.Groups(l, words) })
	return dir
}

// regroup changes the layout that preparation has saved.
func regroup(t testing.TB, dir string, change func(*cull.Layout)) {
	t.Helper()
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	l, err := j.AutoLayout()
	if err != nil {
		t.Fatal(err)
	}
	change(&l)
	if err := errors.Join(j.SaveLayout(l), j.Close()); err != nil {
		t.Fatal(err)
	}
}

// asItIs keeps preparation from grouping the frames anew, and measuring from going on.
var asItIs = station.Options{AsItIs: true, Evidence: station.Evidence{NoMeasuring: true}}

// tiles are where the pictures of the fan stand.
func (d *driver) tiles() []image.Rectangle {
	var list []image.Rectangle
	s := d.desk.Shot()
	for i, t := range s.Tiles {
		if t.Why == "" {
			list = append(list, rectangle(tileRect(s.Tiling, i, d.m.at.picture)))
		}
	}
	return list
}

// masked is the screen without its pictures.
func (d *driver) masked() string {
	screen := d.grid.Styled()
	switch {
	case d.m.covered():
	case d.desk.Shot().Tiles != nil:
		screen = d.grid.Styled(d.tiles()...)
	case d.desk.Shot().Picture != nil:
		screen = d.grid.Styled(d.rectangle())
	}
	return squeeze(sizes.ReplaceAllString(screen, "SIZE "))
}

// The fan in the sizes that count, with colour and without: of one frame, of 3, of
// 12, of 40, and of the pass rescue. The pictures are masked.
func TestFanScreens(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes of painting under the race detector")
	}
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		for _, colour := range []bool{true, false} {
			name := fmt.Sprintf("%dx%d_%s", size[0], size[1], map[bool]string{true: "colour", false: "none"}[colour])
			t.Run(name, func(t *testing.T) {
				var b strings.Builder
				var d *driver
				shot := func(title string) { fmt.Fprintf(&b, "== %s\n%s\n", title, d.masked()) }
				d = driveAs(t, moments(t, fanFrames, 1, 3, 12), size[0], size[1], Options{NoColor: !colour}, asItIs)
				d.press("f")
				shot("one frame")
				d.press("k")
				shot("three frames, after the one before was kept")
				d.press("d", "k", "right", "left")
				shot("two of three decided, on an open one")
				d.press("d")
				shot("twelve frames")
				d.press("down", "up", "up")
				shot("a key that cannot act")
				d.press("w")
				shot("the burst key")
				d.press("d", "u")
				shot("the burst dropped and taken back")
				d.press("i")
				shot("facts")
				d.press("esc", "esc")
				shot("back to the one frame")
				d.close()

				dir := moments(t, fanFrames, 40)
				d = driveAs(t, dir, size[0], size[1], Options{NoColor: !colour}, asItIs)
				d.press("f")
				shot("forty frames")
				for range 12 {
					d.press("right")
				}
				d.press("o")
				shot("only one of forty")
				d.close()
				d = driveAs(t, dir, size[0], size[1], Options{NoColor: !colour}, station.Options{Pass: cull.RescuePass, AsItIs: true})
				d.press("k")
				shot("rescue: one brought back")
				d.press("pgdown")
				shot("rescue: on by a page")
				d.press("f")
				shot("rescue: one frame")
				d.press("f", "tab")
				shot("the pass keep again")
				compare(t, filepath.Join("testdata", "fan_"+name+".golden"), b.String())
			})
		}
	}
}

// Every picture stands in its tile, none where text is, and all of them are there.
func TestFanPicturesStandInTheirTiles(t *testing.T) {
	for _, mode := range []string{"kitty", "kitty-cells"} {
		t.Run(mode, func(t *testing.T) {
			d := driveKittyAs(t, moments(t, demoFrames, 12), 120, 40, Options{Picture: mode}, asItIs)
			d.press("f")
			check := func(when string) {
				t.Helper()
				if c := d.grid.Complaints(); len(c) > 0 {
					t.Fatalf("%s: the terminal complains: %v", when, c)
				}
				if d.m.covered() {
					return
				}
				tiles := d.tiles()
				if mode == "kitty" {
					n := 0
					for _, im := range d.grid.Images() {
						for _, p := range im.Placements {
							n++
							at := p.Area
							inside := false
							for _, r := range tiles {
								inside = inside || at.In(r)
							}
							if !inside {
								t.Errorf("%s: a picture at %v, in no tile", when, at)
							}
						}
					}
					if n != len(tiles) {
						t.Errorf("%s: %d pictures in %d tiles", when, n, len(tiles))
					}
				}
				for _, tile := range d.desk.Shot().Tiles {
					d.sees(filepath.Base(d.desk.FanView().Tiles[0].Name))
					if !tile.Whole {
						t.Errorf("%s: a tile is not whole", when)
					}
				}
			}
			check("open")
			for _, key := range []string{"right", "d", "down", "k", "u", "t", "i", "i", "?", "x", "space", "shift+left", "space", "pgdown", "pgup"} {
				d.press(key)
				check(key)
			}
			d.resize(90, 30)
			check("smaller")
			d.send(lostMsg{})
			check("lost")
		})
	}
}

// Moving the cursor changes text alone; a decision sends the one picture that
// looks different now.
func TestFanSendsWhatChanged(t *testing.T) {
	d := driveKittyAs(t, moments(t, demoFrames, 12), 120, 40, Options{}, asItIs)
	d.press("f")
	d.awaitAhead()
	built := func(key string) int {
		t.Helper()
		d.now = d.now.Add(3e9)
		d.m.Update(keyMsg(term.Key{Name: key, Text: key, At: d.now}))
		n := 0
		for range 50 {
			if len(d.waiting) > 0 {
				s := d.waiting[0]
				d.waiting = nil
				bytes := s.Build()
				n += len(bytes)
				d.write(bytes)
				d.landed(s.ID, term.Drawn)
			}
			if !d.desk.Busy() {
				break
			}
			news, _ := d.desk.Next()
			d.m.Update(newsMsg{news})
		}
		d.settle()
		return n
	}
	for _, key := range []string{"right", "down", "left", "up"} {
		if n := built(key); n > 100 {
			t.Errorf("%s sends %d bytes of pictures", key, n)
		}
	}
	before := len(d.grid.Images())
	if n := built("d"); n == 0 || n > 2000 {
		t.Errorf("a decision sends %d bytes", n)
	}
	placed := 0
	for _, im := range d.grid.Images() {
		placed += len(im.Placements)
	}
	if n := len(d.tiles()); placed != n || n < 10 {
		t.Errorf("%d pictures stand in %d tiles, %d were in the store", placed, n, before)
	}
}

func TestFanKeys(t *testing.T) {
	d := driveAs(t, moments(t, demoFrames, 3, 1, 12), 120, 40, Options{}, asItIs)
	d.press("f")
	d.sees("burst of 3")
	d.press("space")
	d.sees("not its focus") // half blocks
	d.press("right", "k", "d")
	if got := decided(d); len(got) != 2 || !d.desk.InFan() {
		t.Errorf("decided %v, in the fan %v", got, d.desk.InFan())
	}
	d.press("d")
	d.sees("one frame")
	d.press("w")
	d.sees("a moment of its own")
	d.press("pgup", "pgdown", "n", ":").typed("9").press("enter")
	if !d.desk.InFan() || len(d.desk.Shot().Tiles) != 12 {
		t.Errorf("gone to a frame of the twelve there are %d tiles", len(d.desk.Shot().Tiles))
	}
	// Nothing is decided while nothing can be seen.
	n := len(decided(d))
	d.withhold = true
	d.press("right", "k", "o", "w", "d", "left", "d")
	d.sees("nothing decided")
	if got := decided(d); len(got) != n {
		t.Errorf("decided %d more while nothing could be seen", len(got)-n)
	}
	d.withhold = false
	d.landed(d.desk.Shot().ID, term.Drawn)
	d.press("k")
	if got := decided(d); len(got) != n+1 {
		t.Errorf("decided %d", len(got)-n)
	}
	d.press("esc")
	if d.desk.InFan() {
		t.Error("Esc does not close the fan")
	}
}
