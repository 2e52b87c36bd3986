package term

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"testing/synctest"
)

// kittyCases are the cases in which pictures go ahead.
func kittyCases(t testing.TB) (cs []paintCase) {
	for _, c := range paintCases(t) {
		if c.keeps() && (!c.caps.Tmux || c.caps.SharedMemory) {
			cs = append(cs, c)
		}
	}
	return cs
}

// wanted are pieces that fill the same area one after the other.
func (d *desk) wanted(n int) (w []Piece) {
	for i := range n {
		w = append(w, Piece{Picture: testPicture(300+i, 200), Area: d.whole})
	}
	return w
}

// sendAhead sends all that goes ahead and returns how many calls had something.
func (d *desk) sendAhead() (n int) {
	for {
		synctest.Wait()
		out := d.p.Ahead()
		if out == nil {
			return n
		}
		d.v.feedPart(out)
		n++
	}
}

// A picture that is ahead is shown by a few bytes, and prepared by nobody.
func TestPicturesGoAhead(t *testing.T) {
	for _, c := range kittyCases(t) {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				d := newDesk(t, c)
				defer d.p.Close()
				pieces := d.wanted(3)
				d.mosaic(pieces[:1])
				d.p.Want(pieces)
				d.sendAhead()
				if n := d.v.pictures(); n != 3 {
					t.Fatalf("%d pictures in the terminal", n)
				}
				if err := d.same(); err != nil {
					t.Errorf("sending ahead shows something: %v", err)
				}
				limit := 200
				if c.caps.Tmux {
					limit = 400
				}
				if c.mode == KittyCells {
					limit += 20 * d.whole.Cols * d.whole.Rows
				}
				for _, i := range []int{1, 2, 1, 0} {
					d.now = pieces[i : i+1]
					d.allow(d.now)
					p := pieces[i]
					out := d.p.Paint(p.Picture, p.Area, p.Look)
					if len(out) > limit || strings.Contains(string(out), "a=t") {
						t.Errorf("%d bytes: %.200q", len(out), out)
					}
					d.v.feed(out)
					if err := d.same(); err != nil {
						t.Error(err)
					}
				}
				if err := d.clean(); err != nil {
					t.Error(err)
				}
			})
		})
	}
}

// For the other ways what is wanted waits as it will be written.
func TestWantedCellsWait(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := newDesk(t, paintCase{mode: Blocks, caps: Caps{TrueColor: true}, cw: 10, ch: 20})
		pieces := d.wanted(3)
		d.p.o.Ready = func() { t.Error("there is something to send") }
		d.p.Want(pieces)
		synctest.Wait()
		if out := d.p.Ahead(); out != nil {
			t.Errorf("%d bytes go ahead", len(out))
		}
		d.mosaic(pieces[2:])
		if d.p.easel.pixels != nil {
			t.Error("it was prepared once more")
		}
		if err := d.same(); err != nil {
			t.Error(err)
		}
		if err := d.clean(); err != nil {
			t.Error(err)
		}
	})
}

// Ready is called for every picture that can go ahead, and again after it went as
// long as there are more.
func TestReady(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := paintCases(t)[0]
		calls, sent := 0, 0
		var d *desk
		c.o.Ready = func() {
			calls++
			if out := d.p.Ahead(); out != nil {
				sent++
				d.v.feedPart(out)
			}
		}
		d = newDesk(t, c)
		d.p.Want(d.wanted(8))
		synctest.Wait()
		if sent != 8 || calls > 20 {
			t.Errorf("%d sent in %d calls", sent, calls)
		}
		if err := d.clean(); err != nil {
			t.Error(err)
		}
	})
}

// Only as many pictures wait for the terminal in files as is said; those that are
// no longer wanted go, and at the end all.
func TestWaitingFilesAreBounded(t *testing.T) {
	for _, c := range paintCases(t)[:2] {
		synctest.Test(t, func(t *testing.T) {
			d := newDesk(t, c)
			dir := d.p.files.shmDir
			if !c.caps.SharedMemory {
				dir = c.o.TmpDir
			}
			count := func() int { files, _ := os.ReadDir(dir); return len(files) }
			for range 4 {
				d.p.Want(d.wanted(10))
				synctest.Wait()
				if n := count(); n != maxWaiting {
					t.Errorf("%d files", n)
				}
			}
			d.p.Want(nil)
			synctest.Wait()
			if n := count(); n != 0 {
				t.Errorf("%d files that nobody wants", n)
			}
			// A terminal that has stopped is told of pictures and takes none.
			d.p.Want(d.wanted(12))
			for range 12 {
				synctest.Wait()
				d.p.Ahead()
				if n := count(); n > maxWaiting+maxHanded {
					t.Errorf("%d files", n)
				}
			}
			d.p.Close()
			if n := count(); n != 0 {
				t.Errorf("%d files after Close", n)
			}
		})
	}
}

// Through the line only two go ahead, in parts. One that is to be shown in the
// middle of it is completed; for another the transfer is ended and begins anew
// later.
func TestPartsOfAPicture(t *testing.T) {
	for _, c := range []paintCase{paintCases(t)[2], paintCases(t)[4]} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				d := newDesk(t, c)
				defer d.p.Close()
				pieces := d.wanted(5)
				d.p.ahead.chunks = 1
				part := func() {
					t.Helper()
					out := d.p.Ahead()
					if len(out) == 0 || len(out) > 4096+100 {
						t.Fatalf("a part of %d bytes", len(out))
					}
					d.v.feedPart(out)
				}
				d.p.Want(pieces[:4])
				synctest.Wait()
				for range 3 {
					part()
				}
				if d.v.chunks == nil {
					t.Fatal("the picture is smaller than its parts")
				}
				d.mosaic(pieces[:1]) // what is on its way
				if n := d.v.pictures(); n != 1 || d.p.ahead.open != nil {
					t.Errorf("%d pictures", n)
				}
				part()
				part()
				d.mosaic(pieces[4:]) // another
				if n := d.v.pictures(); n != 2 || d.v.chunks != nil {
					t.Errorf("%d pictures", n)
				}
				if err := d.same(); err != nil {
					t.Error(err)
				}
				if parts := d.sendAhead(); parts < 3 {
					t.Errorf("only %d parts", parts)
				}
				if n := d.v.pictures(); n != 3 { // the first two that are wanted, and the last shown
					t.Errorf("%d pictures", n)
				}
				part2 := func(name string, what func() []byte) {
					d.p.Want(d.wanted(1))
					synctest.Wait()
					part()
					part()
					d.allow(nil)
					d.v.feedPart(what())
					if d.v.chunks != nil {
						t.Errorf("%s leaves a transfer open", name)
					}
				}
				part2("Wipe", d.p.Wipe)
				part2("Text", func() []byte { return d.p.Text(nil, Area{}) })
				part2("Want", func() []byte { d.p.Want(nil); return d.p.Ahead() })
				part2("Close", d.p.Close)
				if len(d.v.images) != 0 || len(d.v.refused) != 0 {
					t.Errorf("%d pictures left, refused %q", len(d.v.images), d.v.refused)
				}
			})
		})
	}
}

// What is being prepared when it is to be shown is waited for and not made twice.
func TestPaintTakesWhatIsBeingPrepared(t *testing.T) {
	c := paintCases(t)[0]
	d := newDesk(t, c)
	gate, begun := make(chan struct{}), make(chan struct{})
	d.p.way = &slowWay{d.p.way.(*kittyPlaced), gate, begun}
	pieces := d.wanted(1)
	d.p.Want(pieces)
	<-begun
	go close(gate)
	d.mosaic(pieces) // deadlocks if it holds what the goroutine needs
	if d.p.easel.pixels != nil {
		t.Error("it was prepared twice")
	}
	if err := d.same(); err != nil {
		t.Error(err)
	}
	if err := d.clean(); err != nil {
		t.Error(err)
	}
}

// slowWay prepares only when it is let.
type slowWay struct {
	*kittyPlaced
	gate, begun chan struct{}
}

func (w *slowWay) prepare(e *easel, s *sheet) (load, error) {
	close(w.begun)
	<-w.gate
	return w.kittyPlaced.prepare(e, s)
}

// A picture that cannot be prepared is tried once ahead, and not shown.
func TestPictureThatCannotBePrepared(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := paintCases(t)[0]
		d := newDesk(t, c)
		w := &brokenWay{kittyPlaced: d.p.way.(*kittyPlaced)}
		d.p.way = w
		pieces := d.wanted(2)
		d.p.Want(pieces)
		synctest.Wait()
		d.p.Want(pieces[:1])
		synctest.Wait()
		if w.tried != 3 {
			t.Errorf("tried %d times", w.tried)
		}
		if out := d.p.Mosaic(pieces[:1], d.whole); out != nil {
			t.Errorf("%q", out)
		}
		if err := d.clean(); err != nil {
			t.Error(err)
		}
	})
}

type brokenWay struct {
	*kittyPlaced
	tried int
}

func (w *brokenWay) prepare(*easel, *sheet) (load, error) {
	w.tried++
	if w.tried%2 == 0 {
		panic("broken")
	}
	return load{}, fmt.Errorf("broken")
}

// After Close nothing is made, sent or kept.
func TestClosedPainter(t *testing.T) {
	for _, c := range paintCases(t) {
		p, _ := newTestPainter(t, c)
		m := testPicture(30, 20)
		a := Area{0, 0, 10, 5}
		p.Paint(m, a, Look{})
		p.Close()
		p.Want([]Piece{{Picture: m, Area: a}})
		for name, out := range map[string][]byte{"Paint": p.Paint(m, a, Look{}), "Text": p.Text(nil, a), "Wipe": p.Wipe(),
			"Ahead": p.Ahead(), "Close": p.Close()} {
			if len(out) != 0 {
				t.Errorf("%s: %s returns %q", c.name, name, out)
			}
		}
		if p.Refused() {
			t.Errorf("%s: another way after Close", c.name)
		}
	}
}

// Ids are distinct, of the colours of the palette where they are colours, and
// stay in the painter's block as long as that has any.
func TestIDs(t *testing.T) {
	for _, mode := range []Mode{Kitty, KittyCells} {
		for _, first := range []int{0, 1, 200, 255, 999} {
			d := newIDs(mode, first)
			seen := map[int]bool{}
			for i := range maxIDs {
				id := d.take()
				if id <= 0 || seen[id] || mode == KittyCells && id > 255 || id&0xffff0000 == fenceIDs || id&0xffff0000 == aheadIDs {
					t.Fatalf("%v from %d: id %d", mode, first, id)
				}
				seen[id] = true
				if i == 0 && mode == KittyCells && first >= 1 && first <= 255 && id != first {
					t.Errorf("starts at %d, not %d", id, first)
				}
			}
			if id := d.take(); id != 0 {
				t.Errorf("id %d after the last", id)
			}
			for id := range seen {
				d.give(id)
			}
			if got := len(d.ever()); got != maxIDs {
				t.Errorf("%d ids were taken", got)
			}
		}
		d := newIDs(mode, 100)
		recent := map[int]int{}
		for i := range 100 {
			id := d.take()
			if n, ok := recent[id]; ok && i-n < blockIDs {
				t.Errorf("id %d again after %d", id, i-n)
			}
			if d.colour && (id < 100 || id >= 100+blockIDs) {
				t.Errorf("id %d is of another block", id)
			}
			recent[id] = i
			d.give(id)
		}
	}
}

// Inside tmux what went is hidden a turn later, or when something goes ahead,
// since the terminal has answered by then.
func TestGoneIsHiddenAhead(t *testing.T) {
	c := paintCases(t)[5]
	d := newDesk(t, c)
	defer d.p.Close()
	two := d.areasOf(2, 1)
	d.mosaic([]Piece{{Picture: testPicture(200, 100), Area: d.whole}})
	d.allow([]Piece{{Area: two[1]}})
	d.v.feed(d.p.Mosaic([]Piece{{Picture: testPicture(100, 100), Area: two[1]}}, d.whole))
	before := d.v.visible()
	d.v.feedPart(d.p.Ahead())
	if n := d.v.visible(); n == 0 || n >= before || len(d.v.virtual) != 1 {
		t.Errorf("%d cells visible, before %d", n, before)
	}
}

// What does not fit beside what is on the screen is not even prepared.
func TestWantedIsBoundedByBytes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := paintCases(t)[0]
		c.o.KeepBytes = 4_000_000
		d := newDesk(t, c)
		defer d.p.Close()
		w := &countingWay{kittyPlaced: d.p.way.(*kittyPlaced)}
		pieces := d.wanted(8) // 580x400 pixels each, with what is clear
		d.mosaic(pieces[:1])
		d.p.way = w
		d.p.Want(pieces[1:])
		d.sendAhead()
		if w.n != 3 || d.v.pictures() != 4 {
			t.Errorf("%d prepared, %d in the terminal", w.n, d.v.pictures())
		}
	})
}

type countingWay struct {
	*kittyPlaced
	n int
}

func (w *countingWay) prepare(e *easel, s *sheet) (load, error) {
	w.n++
	return w.kittyPlaced.prepare(e, s)
}
