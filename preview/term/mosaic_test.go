package term

import (
	"bytes"
	"fmt"
	"image"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"testing/synctest"

	"garner/preview/jpeg"
)

// desk is a painter and a terminal under test: everything goes from one to the
// other at once, as through a Screen that never waits.
type desk struct {
	t     testing.TB
	p     *Painter
	v     *vt
	c     paintCase
	whole Area
	now   []Piece // what is to be seen
}

func newDesk(t testing.TB, c paintCase) *desk {
	p, v := newTestPainter(t, c)
	return &desk{t: t, p: p, v: v, c: c, whole: Area{1, 1, 58, 28}}
}

// areasOf divides the whole into a grid of areas with a cell between them.
func (d *desk) areasOf(cols, rows int) (as []Area) {
	for i := range cols * rows {
		w, h := d.whole.Cols/cols, d.whole.Rows/rows
		as = append(as, Area{d.whole.Col + i%cols*w, d.whole.Row + i/cols*h, w - 1, h - 1})
	}
	return as
}

// mosaic shows pieces and checks that no other cell is touched.
func (d *desk) mosaic(pieces []Piece) {
	d.t.Helper()
	d.allow(pieces)
	d.v.feed(d.p.Mosaic(pieces, d.whole))
	d.now = pieces
	d.others()
}

func (d *desk) allow(pieces []Piece) {
	d.v.allowed = Area{}
	d.v.allowedAreas = nil
	for _, piece := range pieces {
		a := piece.Area.within(d.whole)
		if n := d.p.o.Columns; n > 0 { // the last stays free
			a = a.within(Area{0, 0, n - 1, d.v.rows})
		}
		d.v.allowedAreas = append(d.v.allowedAreas, a)
	}
}

// others writes what somebody else has beside the pieces.
func (d *desk) others() {
	for i := range d.v.cells {
		at := Area{i % d.v.cols, i / d.v.cols, 1, 1}
		if !slices.ContainsFunc(d.v.allowedAreas, func(a Area) bool { return at.within(a) == at }) {
			d.v.cells[i] = vtCell{"~", -1, -1}
		}
	}
}

// same compares the screen with that of a painter that starts now.
func (d *desk) same() error {
	fresh := newDesk(d.t, d.c)
	fresh.p.Resized(d.p.o.Columns, d.p.c.CellWidth, d.p.c.CellHeight)
	defer fresh.p.Close()
	fresh.mosaic(d.now)
	got, want := d.v.screen(d.c.cw, d.c.ch, magenta), fresh.v.screen(d.c.cw, d.c.ch, magenta)
	if i := firstDifference(got, want); i >= 0 {
		x, y := i/4%got.Rect.Dx(), i/4/got.Rect.Dx()
		return fmt.Errorf("at %d,%d (cell %d,%d) %v, painted from scratch %v", x, y, x/d.c.cw, y/d.c.ch, got.Pix[i:i+4], want.Pix[i:i+4])
	}
	return nil
}

func firstDifference(a, b *image.NRGBA) int {
	if bytes.Equal(a.Pix, b.Pix) {
		return -1
	}
	for i := 0; i < len(a.Pix); i += 4 {
		if !bytes.Equal(a.Pix[i:i+4], b.Pix[i:i+4]) {
			return i
		}
	}
	return len(a.Pix)
}

// bounded checks that the terminal has no more than it should.
func (d *desk) bounded() error {
	shown := len(d.now)
	if d.c.caps.Tmux {
		shown = d.v.pictures() // those of the turn before stay as well
	}
	if n := d.v.pictures(); n > d.p.o.Keep+shown {
		return fmt.Errorf("%d pictures in the terminal, %d of them on the screen", n, shown)
	}
	if len(d.v.refused) > 0 {
		return fmt.Errorf("refused: %q", d.v.refused)
	}
	for _, dir := range []string{d.c.o.TmpDir, d.p.files.shmDir} {
		if files, _ := os.ReadDir(dir); dir != "" && len(files) > maxWaiting+1 {
			return fmt.Errorf("%d files", len(files))
		}
	}
	return nil
}

// clean checks that nothing is left after Close.
func (d *desk) clean() error {
	d.v.saved = [2]int{d.v.col, d.v.row}
	d.v.feed(d.p.Close())
	if len(d.v.images) != 0 || len(d.v.placements) != 0 || len(d.v.virtual) != 0 {
		return fmt.Errorf("%d pictures are left in the terminal", len(d.v.images))
	}
	for _, dir := range []string{d.c.o.TmpDir, d.p.files.shmDir} {
		if files, _ := os.ReadDir(dir); dir != "" && len(files) != 0 {
			return fmt.Errorf("left in %s: %v", dir, files)
		}
	}
	return nil
}

// Whatever was shown, wanted, sent ahead, wiped and lost before: the screen is
// what a painter would show that starts with the last pieces, the terminal's
// store stays bounded, and Close empties it.
func TestRandomSequences(t *testing.T) {
	for _, c := range paintCases(t) {
		t.Run(c.name, func(t *testing.T) {
			seed := rand.Uint64()
			t.Logf("seed %d", seed)
			steps := 24
			if testing.Short() {
				steps = 6
			}
			synctest.Test(t, func(t *testing.T) { randomSequence(t, c, rand.New(rand.NewPCG(seed, 1)), steps) })
		})
	}
}

func randomSequence(t *testing.T, c paintCase, rnd *rand.Rand, steps int) {
	c.o.Keep = 1 + rnd.IntN(6)
	c.o.KeepBytes = int64(200_000 + rnd.IntN(4_000_000))
	d := newDesk(t, c)
	defer d.p.Close()
	d.p.ahead.chunks = 1 + rnd.IntN(3)
	var pictures []*jpeg.Image
	for i := range 12 {
		pictures = append(pictures, testPicture(90+10*i, 150-8*i))
	}
	d.mosaic(nil)
	for i := range steps {
		before := d.v.screen(c.cw, c.ch, magenta)
		op, shows := d.step(rnd, pictures)
		if !shows {
			if at := firstDifference(before, d.v.screen(c.cw, c.ch, magenta)); at >= 0 {
				t.Fatalf("step %d, %s changes the screen", i, op)
			}
		} else if err := d.same(); err != nil {
			t.Fatalf("step %d, %s: %v", i, op, err)
		}
		if err := d.bounded(); err != nil {
			t.Fatalf("step %d, %s: %v", i, op, err)
		}
	}
	if err := d.clean(); err != nil {
		t.Fatal(err)
	}
}

// step does something at random and says whether it shows.
func (d *desk) step(rnd *rand.Rand, pictures []*jpeg.Image) (op string, shows bool) {
	pieces := func() []Piece {
		n := 1 + rnd.IntN(4)
		as := d.areasOf(n, 1+rnd.IntN(2))
		var out []Piece
		for _, a := range as {
			switch rnd.IntN(8) {
			case 0: // nothing in this area
			case 1:
				out = append(out, Piece{Area: a})
			default:
				out = append(out, Piece{Picture: pictures[rnd.IntN(len(pictures))], Area: a, Look: Look{Dim: rnd.IntN(6) == 0}})
			}
		}
		return out
	}
	switch rnd.IntN(10) {
	case 0, 1:
		d.mosaic(pieces())
		return "new pieces", true
	case 2: // one piece is another
		next := slices.Clone(d.now)
		if len(next) > 0 {
			next[rnd.IntN(len(next))].Picture = pictures[rnd.IntN(len(pictures))]
		}
		d.mosaic(next)
		return "one piece", true
	case 3:
		piece := Piece{Picture: pictures[rnd.IntN(len(pictures))], Area: d.whole, Look: Look{Dim: rnd.IntN(6) == 0}}
		d.now = []Piece{piece}
		d.allow(d.now)
		d.v.feed(d.p.Paint(piece.Picture, piece.Area, piece.Look))
		d.others()
		return "paint", true
	case 4, 5:
		var wanted []Piece
		for range 1 + rnd.IntN(4) {
			wanted = append(wanted, pieces()...)
		}
		d.p.Want(wanted)
		if rnd.IntN(4) > 0 {
			synctest.Wait() // until all is prepared that can be
		}
		return "want", false
	case 6, 7:
		n := 0
		for ; n < 200; n++ {
			out := d.p.Ahead()
			if out == nil {
				break
			}
			d.v.feedPart(out)
			if d.v.chunks == nil && rnd.IntN(2) == 0 || rnd.IntN(10) == 0 {
				break
			}
		}
		return fmt.Sprintf("ahead %d", n), false
	case 8:
		d.v.flashed = false
		d.allow(nil)
		if rnd.IntN(2) == 0 {
			d.v.feed(d.p.Wipe())
		} else {
			d.v.feed(d.p.Text(nil, Area{}))
		}
		if n := d.v.visible(); n != 0 {
			d.t.Fatalf("%d visible after wiping", n)
		}
		d.others()
		d.now = nil
		return "wipe", true
	default:
		columns := 60 - rnd.IntN(2)
		d.p.Resized(columns, d.c.caps.CellWidth, d.c.caps.CellHeight)
		d.mosaic(d.now)
		return "resized", true
	}
}

// Pieces that are there stay as they are; the bytes are of the others alone.
func TestMosaicSendsWhatChanged(t *testing.T) {
	for _, c := range paintCases(t) {
		t.Run(c.name, func(t *testing.T) {
			d := newDesk(t, c)
			defer d.p.Close()
			var pieces []Piece
			for i, a := range d.areasOf(3, 2) {
				pieces = append(pieces, Piece{Picture: testPicture(200+i, 150), Area: a})
			}
			d.mosaic(pieces)
			none := len(NewPainter(c.caps, c.mode, c.o).Mosaic(nil, Area{})) // what any change has round it
			all := len(d.p.Mosaic(pieces, d.whole))
			if all > none {
				t.Errorf("%d bytes for pieces that are there", all-none)
			}
			if err := d.same(); err != nil {
				t.Error(err)
			}
			changed := slices.Clone(pieces)
			changed[4].Look.Dim = true
			d.v.flashed = false
			d.allow(changed[4:5]) // no other cell is touched
			d.v.feed(d.p.Mosaic(changed, d.whole))
			d.now = changed
			d.allow(changed)
			if err := d.same(); err != nil {
				t.Error(err)
			}
			d.mosaic(changed[1:3])
			if err := d.same(); err != nil {
				t.Error(err)
			}
			if d.v.flashed {
				t.Error("at some time no picture was to be seen")
			}
		})
	}
}

// A terminal that has no room for more pictures gets rid of some of them. What is
// then shown is refused once, and goes out anew by the same way.
func TestEvictedPicturesAreSentAgain(t *testing.T) {
	for _, c := range paintCases(t) {
		if !c.keeps() {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			d := newDesk(t, c)
			defer d.p.Close()
			var all []Piece
			for i := range 4 {
				all = append(all, Piece{Picture: testPicture(200+i, 150), Area: d.whole})
				d.mosaic(all[i : i+1])
			}
			if len(d.v.refused) != 0 {
				t.Fatal(d.v.refused)
			}
			for id := range d.v.images {
				d.v.evict(id)
			}
			d.mosaic(all[:1])
			if len(d.v.refused) != 1 {
				t.Fatalf("refused: %q", d.v.refused)
			}
			if !d.p.Refused() {
				t.Fatal("no other way")
			}
			d.mosaic(all[:1])
			if len(d.v.refused) != 1 {
				t.Errorf("refused: %q", d.v.refused)
			}
			if err := d.same(); err != nil {
				t.Error(err)
			}
			// If that is refused as well it is the way that does not work.
			before := medium(d.medium())
			if d.p.Refused() != (before < inBand) || before < inBand && medium(d.medium()) == before {
				t.Errorf("after %d the medium is %d", before, d.medium())
			}
			d.mosaic(all[:1])
			if err := d.same(); err != nil {
				t.Error(err)
			}
		})
	}
}

func (d *desk) medium() int32 {
	switch w := d.p.way.(type) {
	case *kittyPlaced:
		return w.medium.Load()
	case *kittyCells:
		return w.medium.Load()
	}
	return -1
}

// More pieces than there are ids: those that have none are left away, the others
// are there.
func TestMoreDistinctPiecesThanIDs(t *testing.T) {
	c := paintCases(t)[3]
	d := newDesk(t, c)
	var pieces []Piece
	for i := range 300 {
		pieces = append(pieces, Piece{Picture: testPicture(20, 20), Area: Area{i % 29 * 2, 1 + i/29*2, 1, 1}})
	}
	d.mosaic(pieces)
	if n := d.v.pictures(); n != maxIDs {
		t.Errorf("%d pictures", n)
	}
	d.mosaic(pieces[290:])
	if err := d.same(); err != nil {
		t.Error(err)
	}
	if err := d.clean(); err != nil {
		t.Error(err)
	}
}
