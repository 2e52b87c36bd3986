package term

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

func TestSixelBytes(t *testing.T) {
	m := grey(40, 30, 255)
	p := NewPainter(Caps{Sixel: true, CellWidth: 10, CellHeight: 20}, Sixel, PainterOptions{})
	got := string(p.Paint(m, Area{2, 1, 6, 2}, Look{}))
	// 53 by 40 pixels in the middle of 60, so that the first and the last column
	// of cells are covered in part.
	const want = "\x1b7\x1b[?7l\x1b[m" +
		"\x1b[2;3H \x1b[2;8H \x1b[3;3H \x1b[3;8H " +
		"\x1b[2;3H\x1bP9;1q\"1;1;56;40#0;2;100;100;100" +
		"#0???!53~-#0???!53~-#0???!53~-#0???!53~-#0???!53~-#0???!53~-#0???!53N\x1b\\" +
		"\x1b[m\x1b[?7h\x1b8"
	if got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// A picture larger than the terminal draws at once comes in parts that are not,
// with the colours of the whole.
func TestSixelParts(t *testing.T) {
	m := photoLike(900, 600)
	paint := func(c Caps) *vt {
		c.Sixel, c.CellWidth, c.CellHeight = true, 10, 20
		p, v := newTestPainter(t, paintCase{mode: Sixel, caps: c, cw: 10, ch: 20})
		v.feed(p.Paint(m, Area{0, 0, 60, 30}, Look{}))
		return v
	}
	whole := paint(Caps{})
	want := whole.screen(10, 20, magenta)
	for _, tt := range []struct {
		w, h, colours int
		parts         int
	}{
		{10000, 10000, 0, 1}, {1000, 1000, 1024, 1}, {600, 400, 256, 1}, {599, 400, 0, 2}, {155, 90, 0, 20}, {5, 5, 0, 60 * 20},
	} {
		v := paint(Caps{SixelWidth: tt.w, SixelHeight: tt.h, SixelColours: tt.colours})
		if v.drawn != tt.parts {
			t.Errorf("at most %dx%d pixels: %d drawings, want %d", tt.w, tt.h, v.drawn, tt.parts)
		}
		if v.largest.X > max(tt.w, 10) || v.largest.Y > max(tt.h, 20) {
			t.Errorf("at most %dx%d pixels: a drawing of %v", tt.w, tt.h, v.largest)
		}
		if v.colours != whole.colours {
			t.Errorf("%d colours, the whole has %d", v.colours, whole.colours)
		}
		if d := apart(want, v.screen(10, 20, magenta)); d > 1 { // of noise that begins elsewhere
			t.Errorf("at most %dx%d pixels: %.1f apart from the whole", tt.w, tt.h, d)
		}
	}
	if v := paint(Caps{SixelColours: 16}); v.colours > 16 {
		t.Errorf("%d of 16 colours", v.colours)
	}
}

// apart is the mean difference of the channels.
func apart(a, b *image.NRGBA) float64 {
	sum := 0.0
	for i := range a.Pix {
		sum += math.Abs(float64(a.Pix[i]) - float64(b.Pix[i]))
	}
	return sum / float64(len(a.Pix)*3/4)
}

// xterm paints no more than its last 16 drawings when its window was covered:
// nothing that is on the screen may be older.
func TestSixelsOnXterm(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 1))
	for _, c := range []Caps{
		{Name: "XTerm(379)"}, {Name: "XTerm(379)", SixelWidth: 400, SixelHeight: 300}, {Name: "tmux 3.4", Tmux: true},
	} {
		c.Sixel, c.CellWidth, c.CellHeight = true, 10, 20
		keeps := newSixels(c).keeps()
		limited := paintCase{mode: Sixel, caps: c, cw: 10, ch: 20}
		free := limited
		free.caps = Caps{Sixel: true, CellWidth: 10, CellHeight: 20}
		d := newDesk(t, limited)
		pieces := make([]Piece, 24)
		for i, a := range d.areasOf(6, 4) {
			pieces[i] = Piece{Picture: testPicture(90+i, 60), Area: a}
		}
		pieces[7].Picture = nil
		check := func(what string) {
			t.Helper()
			if n := d.v.oldest(); n >= keeps {
				t.Errorf("%s: something is %d drawings old", what, n)
			}
			fresh := newDesk(t, free)
			fresh.mosaic(d.now)
			// One palette for all, or one for each.
			if d := apart(d.v.screen(10, 20, magenta), fresh.v.screen(10, 20, magenta)); d > 6 {
				t.Errorf("%s: %.1f apart from what it should be", what, d)
			}
		}
		d.mosaic(pieces)
		check("all")
		most := 0
		for i := range 18 {
			next := slices.Clone(d.now)
			k := rnd.IntN(len(next))
			next[k].Look.Dim = !next[k].Look.Dim
			before := d.v.drawn
			d.mosaic(next)
			check(fmt.Sprintf("%d", i))
			if n := d.v.drawn - before; k != 7 && n == 0 {
				t.Error("nothing was drawn")
			} else {
				most = max(most, n)
			}
			if t.Failed() {
				return
			}
		}
		if most > keeps {
			t.Errorf("%d drawings at once", most)
		}
		// Nothing that was there before comes back beside what is there now.
		before := d.v.drawn
		d.mosaic([]Piece{{Picture: testPicture(300, 200), Area: d.whole}})
		check("one")
		if !c.Tmux && d.v.drawn-before < keeps {
			t.Errorf("%d drawings: the terminal still has what was there", d.v.drawn-before)
		}
		before = d.v.drawn
		d.allow(nil)
		d.v.feed(d.p.Wipe())
		if !c.Tmux && d.v.drawn-before < keeps {
			t.Errorf("wiped with %d drawings: the terminal still has what was there", d.v.drawn-before)
		}
		d.mosaic(pieces)
		check("all again")
		before = d.v.drawn
		if err := d.clean(); err != nil {
			t.Error(err)
		}
		if !c.Tmux && d.v.drawn-before < keeps {
			t.Errorf("closed with %d drawings: the terminal still has what was there", d.v.drawn-before)
		}
	}
}

// Other terminals keep everything: each piece is drawn by itself.
func TestSixelsOneByOne(t *testing.T) {
	d := newDesk(t, paintCase{mode: Sixel, caps: Caps{Sixel: true, Name: "foot(1.13.1)", CellWidth: 10, CellHeight: 20}, cw: 10, ch: 20})
	var pieces []Piece
	for i, a := range d.areasOf(6, 4) {
		pieces = append(pieces, Piece{Picture: testPicture(90+i, 60), Area: a})
	}
	d.mosaic(pieces)
	if d.v.drawn != 24 {
		t.Errorf("%d drawings", d.v.drawn)
	}
}

// Synchronized output makes foot hold back what it could draw already.
func TestSixelsAreNotHeldBack(t *testing.T) {
	p := NewPainter(Caps{Sixel: true, Sync: true, CellWidth: 10, CellHeight: 20}, Sixel, PainterOptions{})
	if out := string(p.Paint(testPicture(30, 20), Area{0, 0, 10, 5}, Look{})); strings.Contains(out, "?2026") {
		t.Errorf("%.60q", out)
	}
}
