package term

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"os"
	"strings"
	"testing"

	"garner/preview/jpeg"
)

// testPicture has smooth colours and a mark in each corner, so that a turned,
// shifted or mirrored one is told.
func testPicture(w, h int) *jpeg.Image {
	m := &jpeg.Image{}
	m.Reset(w, h, 2, 2, false)
	for y := range h {
		for x := range w {
			r, g, b := byte(255*x/w), byte(255*y/h), byte(128)
			switch {
			case x < w/8 && y < h/8:
				r, g, b = 255, 255, 255
			case x >= w-w/8 && y < h/8:
				r, g, b = 0, 0, 0
			}
			yy, cb, cr := color.RGBToYCbCr(r, g, b)
			m.Y[y*m.YStride+x] = yy
			m.Cb[y/2*m.CStride+x/2], m.Cr[y/2*m.CStride+x/2] = cb, cr
		}
	}
	return m
}

// difference compares the picture with what is seen inside r, sampling the
// middles of 16 by 16 fields, and returns the mean difference of a channel.
func difference(m *jpeg.Image, seen *image.NRGBA, r image.Rectangle) float64 {
	src, sum := m.Std(), 0.0
	const n = 16
	for i := range n {
		for j := range n {
			want := mean(src, image.Rect(j*m.Width/n, i*m.Height/n, (j+1)*m.Width/n, (i+1)*m.Height/n))
			got := mean(seen, image.Rect(r.Min.X+j*r.Dx()/n, r.Min.Y+i*r.Dy()/n, r.Min.X+(j+1)*r.Dx()/n, r.Min.Y+(i+1)*r.Dy()/n))
			for c := range 3 {
				sum += math.Abs(want[c] - got[c])
			}
		}
	}
	return sum / (3 * n * n)
}

func mean(m image.Image, r image.Rectangle) (v [3]float64) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			c := color.NRGBAModel.Convert(m.At(x, y)).(color.NRGBA)
			v[0] += float64(c.R)
			v[1] += float64(c.G)
			v[2] += float64(c.B)
		}
	}
	n := float64(max(r.Dx()*r.Dy(), 1))
	return [3]float64{v[0] / n, v[1] / n, v[2] / n}
}

// extent is the rectangle of what is not background.
func extent(seen *image.NRGBA, back color.NRGBA) image.Rectangle {
	var r image.Rectangle
	for y := range seen.Rect.Dy() {
		for x := range seen.Rect.Dx() {
			if seen.NRGBAAt(x, y) != back {
				r = r.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return r
}

var magenta = color.NRGBA{254, 1, 253, 255}

type paintCase struct {
	name    string
	mode    Mode
	caps    Caps
	o       PainterOptions
	tol     float64
	cw, ch  int
	allowed bool
}

func paintCases(t testing.TB) []paintCase {
	tmp := t.TempDir()
	kittyCaps := func(shm, temp, tmux bool) Caps {
		return Caps{Kitty: true, Placeholders: true, SharedMemory: shm, TempFile: temp, Tmux: tmux, CellWidth: 10, CellHeight: 20, TrueColor: true}
	}
	return []paintCase{
		{"kitty shared", Kitty, kittyCaps(true, true, false), PainterOptions{TmpDir: tmp}, 3, 10, 20, true},
		{"kitty temp", Kitty, kittyCaps(false, true, false), PainterOptions{TmpDir: tmp}, 3, 10, 20, true},
		{"kitty direct", Kitty, kittyCaps(false, false, false), PainterOptions{}, 3, 10, 20, true},
		{"cells shared", KittyCells, kittyCaps(true, true, false), PainterOptions{}, 3, 10, 20, true},
		{"cells direct", KittyCells, kittyCaps(false, false, false), PainterOptions{FirstID: 254}, 3, 10, 20, true},
		{"cells tmux", KittyCells, kittyCaps(true, false, true), PainterOptions{}, 3, 10, 20, true},
		{"cells tmux direct", KittyCells, kittyCaps(false, false, true), PainterOptions{}, 3, 10, 20, true},
		{"kitty odd cells", Kitty, func() Caps {
			c := kittyCaps(true, false, false)
			c.CellWidth, c.CellHeight = 9, 19
			c.Sync = true
			return c
		}(), PainterOptions{}, 3, 9, 19, true},
		{"blocks", Blocks, Caps{TrueColor: true}, PainterOptions{}, 8, 10, 20, true},
		{"blocks 256", Blocks, Caps{}, PainterOptions{}, 16, 10, 20, true},
		{"blocks forced 256", Blocks, Caps{TrueColor: true}, PainterOptions{Colors256: true}, 16, 10, 20, true},
		{"quadrants", Quadrants, Caps{TrueColor: true}, PainterOptions{}, 8, 10, 20, true},
		{"quadrants 256", Quadrants, Caps{}, PainterOptions{}, 16, 10, 20, true},
		{"sixel", Sixel, Caps{Sixel: true, CellWidth: 10, CellHeight: 20}, PainterOptions{}, 4, 10, 20, true},
		{"sixel 16 colours", Sixel, Caps{Sixel: true, SixelColours: 16, CellWidth: 10, CellHeight: 20}, PainterOptions{}, 12, 10, 20, true},
		{"sixel odd cells", Sixel, Caps{Sixel: true, SixelColours: 1024, CellWidth: 7, CellHeight: 17, Sync: true}, PainterOptions{}, 4, 7, 17, true},
		{"sixel in parts", Sixel, Caps{Sixel: true, SixelWidth: 155, SixelHeight: 90, CellWidth: 10, CellHeight: 20}, PainterOptions{}, 4, 10, 20, true},
		{"inline", Inline, Caps{Inline: true, CellWidth: 10, CellHeight: 20}, PainterOptions{}, 4, 10, 20, true},
		{"inline odd cells", Inline, Caps{Inline: true, CellWidth: 9, CellHeight: 19}, PainterOptions{}, 4, 9, 19, true},
	}
}

// keeps reports whether the terminal keeps pictures.
func (c paintCase) keeps() bool { return c.mode == Kitty || c.mode == KittyCells }

// newTestPainter returns a painter whose shared memory is a folder.
func newTestPainter(t testing.TB, c paintCase) (*Painter, *vt) {
	p := NewPainter(c.caps, c.mode, c.o)
	p.files.shmDir = t.TempDir()
	v := newVT(t, 60, 30)
	v.tmux, v.shm = c.caps.Tmux, p.files.shmDir
	v.cw, v.ch = c.cw, c.ch
	return p, v
}

func TestPaintedPictureIsThePicture(t *testing.T) {
	area := Area{Col: 3, Row: 2, Cols: 41, Rows: 21}
	for _, c := range paintCases(t) {
		for _, size := range [][2]int{{600, 400}, {400, 600}, {97, 61}, {1200, 300}, {3, 500}} {
			t.Run(fmt.Sprintf("%s/%dx%d", c.name, size[0], size[1]), func(t *testing.T) {
				p, v := newTestPainter(t, c)
				v.allowed = area
				m := testPicture(size[0], size[1])
				v.feed(p.Paint(m, area, Look{}))
				seen := v.screen(c.cw, c.ch, magenta)
				box := image.Rect(area.Col*c.cw, area.Row*c.ch, (area.Col+area.Cols)*c.cw, (area.Row+area.Rows)*c.ch)
				r := extent(seen, magenta)
				if !r.In(box) {
					t.Errorf("picture %v, area %v", r, box)
				}
				// Its own shape, and as large as the area lets it be; a half
				// block is as coarse as it is.
				slack := 1.5
				if !c.mode.Pixels() {
					slack = float64(c.ch) + 1
				}
				scale := min(float64(box.Dx())/float64(size[0]), float64(box.Dy())/float64(size[1]))
				if w, h := scale*float64(size[0]), scale*float64(size[1]); math.Abs(w-float64(r.Dx())) > slack || math.Abs(h-float64(r.Dy())) > slack {
					t.Errorf("picture %v, want %.1f by %.1f", r, w, h)
				}
				if off := r.Min.X + r.Max.X - box.Min.X - box.Max.X; abs(off) > 2*c.cw {
					t.Errorf("off the middle by %d", off/2)
				}
				if min(r.Dx(), r.Dy()) >= 16*c.cw {
					if d := difference(m, seen, r); d > c.tol {
						t.Errorf("differs by %.1f on average", d)
					}
				}
				for row := range v.rows {
					for col := range v.cols {
						in := col >= area.Col && col < area.Col+area.Cols && row >= area.Row && row < area.Row+area.Rows
						if got := v.at(col, row).text == "~"; got == in {
							t.Fatalf("cell %d,%d: %q", col, row, v.at(col, row).text)
						}
					}
				}
			})
		}
	}
}

// A picture after a picture: the new one is there before the old one goes, no
// more are kept than is said, and the files are gone. What an earlier area covered
// belongs to text and is not touched.
func TestPicturesFollowEachOther(t *testing.T) {
	for _, c := range paintCases(t) {
		t.Run(c.name, func(t *testing.T) {
			c.o.Keep = 2
			p, v := newTestPainter(t, c)
			areas := []Area{{3, 2, 41, 21}, {3, 2, 41, 21}, {10, 5, 20, 20}, {0, 0, 60, 30}, {0, 0, 5, 3}}
			for i, a := range areas {
				m := testPicture(300+i, 200)
				if i == 2 {
					m = testPicture(200, 300)
				}
				v.allowed = a
				v.feed(p.Paint(m, a, Look{}))
				v.text(a)
				if v.pictures() > 5 || len(v.placements) > 1 || c.keeps() && v.pictures() == 0 {
					t.Errorf("%d pictures, %d and %d placements", len(v.images), len(v.placements), len(v.virtual))
				}
				r := extent(v.screen(c.cw, c.ch, magenta), magenta)
				if want := image.Rect(a.Col*c.cw, a.Row*c.ch, (a.Col+a.Cols)*c.cw, (a.Row+a.Rows)*c.ch); !r.In(want) {
					t.Errorf("picture %v, area %v", r, want)
				}
			}
			if v.flashed {
				t.Error("at some time there was no picture")
			}
			v.allowed = Area{}
			v.feed(p.Wipe())
			if n := v.visible(); n != 0 {
				t.Errorf("left after wiping: %d", n)
			}
			v.text(Area{})
			if r := extent(v.screen(c.cw, c.ch, magenta), magenta); !r.Empty() {
				t.Errorf("left after wiping: %v", r)
			}
			v.allowed = areas[0]
			v.feed(p.Paint(testPicture(30, 20), areas[0], Look{}))
			v.saved = [2]int{v.col, v.row}
			v.feed(p.Close())
			if len(v.images) != 0 {
				t.Errorf("%d pictures left", len(v.images))
			}
			for _, dir := range []string{c.o.TmpDir, p.files.shmDir} {
				if files, _ := os.ReadDir(dir); dir != "" && len(files) != 0 {
					t.Errorf("left in %s: %v", dir, files)
				}
			}
		})
	}
}

// Files that the terminal never takes do not pile up.
func TestUntakenFilesAreRemoved(t *testing.T) {
	c := paintCases(t)[0]
	p, _ := newTestPainter(t, c)
	for range 10 {
		p.Paint(testPicture(30, 20), Area{0, 0, 10, 5}, Look{})
		if files, _ := os.ReadDir(p.files.shmDir); len(files) > maxHanded {
			t.Fatalf("%d files", len(files))
		}
	}
	p.Close()
	if files, _ := os.ReadDir(p.files.shmDir); len(files) != 0 {
		t.Errorf("left: %v", files)
	}
}

// Where shared memory is full a file does, and where that fails the terminal
// gets the bytes.
func TestMediumsStandIn(t *testing.T) {
	c := paintCases(t)[0]
	p, v := newTestPainter(t, c)
	p.files.shmDir += "/missing"
	v.feed(p.Paint(testPicture(30, 20), Area{0, 0, 10, 5}, Look{}))
	p.files.tmpDir = p.files.shmDir
	v.feed(p.Paint(testPicture(30, 20), Area{0, 0, 10, 5}, Look{}))
	if v.pictures() != 2 {
		t.Errorf("%d pictures", v.pictures())
	}
}

// A terminal that refuses a picture gets the next another way, up to the last.
func TestRefused(t *testing.T) {
	c := paintCases(t)[0]
	p, v := newTestPainter(t, c)
	for i, want := range []string{",t=s,", ",t=t,", ",t=d,"} {
		out := p.Paint(testPicture(30, 20), Area{0, 0, 10, 5}, Look{})
		if !strings.Contains(string(out), want) {
			t.Errorf("picture %d does not have %s", i, want)
		}
		v.feed(out)
		if p.Refused() != (i < 2) { // nothing was in the store before
			t.Errorf("another way after %s", want)
		}
	}
	if NewPainter(Caps{SharedMemory: true}, Blocks, PainterOptions{}).Refused() {
		t.Error("another way for blocks")
	}
}

func TestDim(t *testing.T) {
	area := Area{0, 0, 60, 30}
	for _, c := range paintCases(t) {
		t.Run(c.name, func(t *testing.T) {
			bright, dim := light(t, c, Look{}, area), light(t, c, Look{Dim: true}, area)
			if dim[0] > bright[0]*0.6 {
				t.Errorf("in the middle of the left half %v, dimmed %v", bright, dim)
			}
			if dim[1] < 150 {
				t.Errorf("no line through the middle: %v", dim)
			}
		})
	}
}

// light is how bright the picture is beside the line and on it.
func light(t *testing.T, c paintCase, l Look, area Area) [2]float64 {
	p, v := newTestPainter(t, c)
	m := &jpeg.Image{}
	m.Reset(300, 300, 1, 1, true)
	for i := range m.Y {
		m.Y[i] = 100
	}
	v.feed(p.Paint(m, area, l))
	seen := v.screen(c.cw, c.ch, magenta)
	r := extent(seen, magenta)
	at := func(x, y int) float64 {
		x, y = r.Min.X+x*r.Dx()/100, r.Min.Y+y*r.Dy()/100
		best := 0.0
		for dy := -c.ch / 2; dy <= c.ch/2; dy++ {
			best = max(best, float64(seen.NRGBAAt(x, y+dy).G))
		}
		return best
	}
	return [2]float64{at(25, 25), at(50, 50)}
}

func TestText(t *testing.T) {
	for _, c := range paintCases(t) {
		p, v := newTestPainter(t, c)
		v.feed(p.Paint(testPicture(30, 20), Area{0, 0, 60, 30}, Look{}))
		a := Area{10, 5, 11, 4}
		v.text(Area{})
		v.allowed = a
		v.feed(p.Text([]string{"cannot be", strings.Repeat("long", 20)}, a))
		if v.visible() != 0 {
			t.Errorf("%s: the picture is still there", c.name)
		}
		row := func(n int) string {
			s := ""
			for col := range v.cols {
				s += v.at(col, n).text
			}
			return strings.Trim(s, "~")
		}
		if row(6) != " cannot be " || row(7) != "longlonglon" || row(5) != row(8) || row(8) != strings.Repeat(" ", 11) {
			t.Errorf("%s: %q", c.name, []string{row(5), row(6), row(7), row(8)})
		}
	}
}

func TestNothingToPaint(t *testing.T) {
	for _, c := range paintCases(t) {
		p, v := newTestPainter(t, c)
		v.feed(p.Paint(nil, Area{1, 1, 5, 5}, Look{}))
		v.feed(p.Paint(&jpeg.Image{Width: 5, Height: 5}, Area{1, 1, 5, 5}, Look{}))
		v.feed(p.Paint(testPicture(4, 4), Area{1, 1, 0, 5}, Look{}))
		v.feed(p.Paint(testPicture(4, 4), Area{-1, -1, -5, -5}, Look{}))
		v.feed(p.Paint(testPicture(1, 1), Area{1, 1, 1, 1}, Look{}))
		if c.keeps() && len(v.images) != 1 {
			t.Errorf("%s: %d pictures", c.name, len(v.images))
		}
		if w, h := p.Pixels(Area{0, 0, 1 << 40, 1 << 40}); w > maxEdge || h > maxEdge {
			t.Errorf("%s: %dx%d pixels", c.name, w, h)
		}
	}
}

// The last column of the terminal stays free where its width is known.
func TestLastColumn(t *testing.T) {
	for _, c := range paintCases(t) {
		c.o.Columns = 60
		p, v := newTestPainter(t, c)
		v.allowed.Cols = 59
		v.feed(p.Paint(testPicture(600, 100), Area{0, 0, 60, 30}, Look{}))
		v.feed(p.Text([]string{strings.Repeat("x", 80)}, Area{20, 0, 40, 30}))
		p.Resized(40, c.caps.CellWidth, c.caps.CellHeight)
		v.allowed = Area{0, 0, 39, 30}
		v.feed(p.Paint(testPicture(600, 100), Area{0, 0, 60, 30}, Look{}))
	}
}

func TestPixels(t *testing.T) {
	a := Area{5, 5, 160, 50}
	for _, tt := range []struct {
		c    Caps
		m    Mode
		w, h int
	}{
		{Caps{CellWidth: 10, CellHeight: 20}, Kitty, 1600, 1000},
		{Caps{CellWidth: 9.6, CellHeight: 19}, Kitty, 1536, 950},
		{Caps{}, KittyCells, 1600, 1000},
		{Caps{CellWidth: math.NaN(), CellHeight: 1e9}, Kitty, 1600, 1000},
		{Caps{CellWidth: 10, CellHeight: 20}, Blocks, 160, 100},
		{Caps{CellWidth: 500, CellHeight: 500}, Kitty, 8192, 2560},
	} {
		if w, h := NewPainter(tt.c, tt.m, PainterOptions{}).Pixels(a); w != tt.w || h != tt.h {
			t.Errorf("%+v %v: %dx%d, want %dx%d", tt.c, tt.m, w, h, tt.w, tt.h)
		}
	}
}
