package station

import (
	"fmt"
	"image"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/preview/pix"
)

// large is a fan's place on a screen of 200 by 60 cells of 10 by 20 pixels.
var large = FanArea{Cols: 199, Rows: 56, Pixels: image.Pt(1990, 1120), CellShape: 2}

// fanOut sits down on a burst and opens the fan.
func fanOut(t *testing.T) (*person, []Rung) {
	t.Helper()
	p := sit(t, shoot(t, true), Options{})
	p.desk.SetFan(large)
	p.look()
	rungs := p.onBurst()
	p.press(Fan{})
	if s := p.look(); !p.desk.InFan() || len(s.Tiles) != len(rungs) {
		t.Fatalf("the fan of a burst of %d has %d tiles", len(rungs), len(s.Tiles))
	}
	return p, rungs
}

func TestFanDecidesInPlace(t *testing.T) {
	p, rungs := fanOut(t)
	d := p.desk
	for _, tile := range p.look().Tiles {
		if tile.Picture == nil || !tile.Whole {
			t.Errorf("%s has no picture", d.name(tile.Frame))
		}
	}
	p.press(Walk{cull.NextMoment}) // in the fan: the next tile
	if got := d.Shot().Frame; got != rungs[1].Frame {
		t.Fatalf("one tile on is %s", d.name(got))
	}
	p.press(Answer{cull.Yes})
	if got := d.Shot().Frame; got != rungs[2].Frame {
		t.Errorf("after an answer the cursor is on %s", d.name(got))
	}
	p.look()
	if got := p.decided(cull.KeepPass); len(got) != 1 || got[rungs[1].Frame].Answer != cull.Yes || !got[rungs[1].Frame].Shown {
		t.Errorf("decided %v", got)
	}
	for range rungs[2:] {
		p.press(Answer{cull.No})
	}
	if got := d.Shot().Frame; got != rungs[0].Frame {
		t.Errorf("with one open frame left before it the cursor is on %s", d.name(got))
	}
	p.press(Answer{cull.No})
	if here := d.Shot().Frame; slices.ContainsFunc(rungs, func(r Rung) bool { return r.Frame == here }) || !d.InFan() {
		t.Errorf("the moment is decided, and the cursor on %s, in the fan %v", d.name(here), d.InFan())
	}
	p.press(Undo{})
	s := d.Shot()
	if s.Frame != rungs[0].Frame || len(s.Tiles) != len(rungs) || s.Tiles[0].Answer != cull.Open || s.Tiles[2].Answer != cull.No {
		t.Errorf("taken back: %+v", s.Tiles)
	}
	p.press(Fan{})
	if s = p.look(); s.Tiles != nil || s.Frame != rungs[0].Frame {
		t.Errorf("back to one frame: %s of %d tiles", d.name(s.Frame), len(s.Tiles))
	}
}

// A tile is decided only once it has been drawn, and after a decision only once
// what became of it has been.
func TestFanDecidesWhatWasDrawn(t *testing.T) {
	p, rungs := fanOut(t)
	d := p.desk
	tell := func(a Act, after time.Duration) {
		p.now = p.now.Add(after)
		d.Do(a, Press{Key: fmt.Sprintf("%T", a), At: p.now})
		p.wait()
	}
	tell(Walk{cull.NextMoment}, time.Second)
	s := d.Shot()
	d.Drawn(s.ID-1, p.now) // of the shot before: the cursor stood elsewhere
	tell(Answer{cull.No}, time.Second)
	p.says("nothing decided: the screen has not caught up")
	d.Drawn(s.ID, p.now)
	tell(Answer{cull.No}, 0) // read together with what was drawn
	tell(Answer{cull.No}, time.Second)
	tell(Answer{cull.No}, time.Second) // nothing was drawn since
	if got := p.decided(cull.KeepPass); len(got) != 1 || got[rungs[1].Frame].Answer != cull.No {
		t.Fatalf("decided %v", got)
	}
	p.look()
	if !d.drawn[rungs[2].Frame] {
		t.Error("a tile that was drawn does not count as shown")
	}
	// The screen's answer to a shot counts for what that shot showed.
	d.album = album{}
	d.drawn = map[cull.ID]bool{}
	d.Redraw()
	s = d.Shot()
	p.wait()
	d.Drawn(s.ID, p.now)
	tell(Answer{cull.Yes}, time.Second)
	p.says("not on the screen yet")
	for i, tile := range s.Tiles {
		if tile.Whole || d.drawn[tile.Frame] || !d.Shot().Tiles[i].Whole {
			t.Errorf("tile %d: whole %v in the shot that was drawn, drawn %v", i, tile.Whole, d.drawn[tile.Frame])
		}
	}
}

// Burst keys in the fan count what was drawn there as shown.
func TestFanBurst(t *testing.T) {
	p, rungs := fanOut(t)
	p.press(Walk{cull.NextMoment}, Only{})
	got := p.decided(cull.KeepPass)
	if len(got) != len(rungs) || got[rungs[1].Frame].Answer != cull.Yes {
		t.Fatalf("only this one: %v", got)
	}
	for id, dec := range got {
		if !dec.Shown {
			t.Errorf("%s was never shown", p.desk.name(id))
		}
	}
	p.press(Undo{}, Burst{cull.No})
	if got = p.decided(cull.KeepPass); len(got) != len(rungs) {
		t.Errorf("the burst: %v", got)
	}
}

// Rows and ends: every key that cannot act says why.
func TestFanWalk(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	d := p.desk
	d.SetFan(FanArea{Cols: 41, Rows: 16, Pixels: image.Pt(410, 320)}) // two by two
	p.press(Fan{}, Walk{cull.LadderUp})
	p.says("the first row of the moment")
	p.press(Walk{cull.LadderDown})
	if len(d.FanView().Tiles) == 1 {
		p.says("the last row of the moment")
	}
	first := d.Shot().Frame
	p.press(Walk{cull.PrevMoment})
	p.says("the first frame")
	seen := map[cull.ID]bool{}
	for range demoFrames + 1 {
		seen[d.Shot().Frame] = true
		p.press(Walk{cull.NextMoment})
	}
	p.says("the last frame")
	if len(seen) != demoFrames {
		t.Errorf("from tile to tile one comes by %d frames", len(seen))
	}
	for range demoFrames {
		p.press(Walk{cull.PrevMoment})
	}
	if d.Shot().Frame != first {
		t.Error("and not back again")
	}
}

// A frame that cannot be shown has a tile that says why, and can be decided.
func TestFanOfABrokenFrame(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	p.desk.SetFan(large)
	for _, pl := range p.desk.session.Layout().Places {
		if p.desk.frames[pl.Frame].CanBeShown() {
			continue
		}
		p.press(goTo{pl.Frame}, Fan{})
		s := p.look()
		i := slices.IndexFunc(s.Tiles, func(t Tile) bool { return t.Frame == pl.Frame })
		if i < 0 || s.Tiles[i].Why == "" || s.Tiles[i].Picture != nil {
			t.Fatalf("%+v", s.Tiles)
		}
		p.press(Answer{cull.No})
		if got := p.decided(cull.KeepPass); len(got) != 1 || got[pl.Frame].Shown {
			t.Errorf("decided %v", got)
		}
		return
	}
	t.Fatal("the demo has no broken frame")
}

// Pictures of tiles are those of thumbnails where they are large enough, never
// larger than the tile needs, and made anew when the fan becomes larger.
func TestFanPictures(t *testing.T) {
	p, _ := fanOut(t)
	d := p.desk
	d.SetEdge(1600)
	d.album = album{}
	d.forceShot()
	d.renew()
	for _, a := range []FanArea{large, {Cols: 60, Rows: 20, Pixels: image.Pt(600, 400)}} {
		d.SetFan(a)
		s := p.look()
		room := s.Tiling.room(a)
		for _, tile := range s.Tiles {
			edge := max(tile.Picture.Width, tile.Picture.Height)
			if want := max(room.X, room.Y); edge > max(want, pix.ThumbEdge) {
				t.Errorf("a picture of %d pixels in a tile of %v", edge, room)
			}
		}
	}
	// What comes next is made before it is asked for.
	p.wait()
	coming := d.Coming()
	if len(coming) == 0 {
		t.Fatal("nothing is coming")
	}
	p.now = p.now.Add(time.Second)
	for range d.fanList().frames {
		d.Do(Walk{cull.NextMoment}, Press{Key: "right", At: p.now})
	}
	for _, tile := range d.Shot().Tiles {
		if !tile.Whole {
			t.Errorf("%s is not ready", d.name(tile.Frame))
		}
	}
}

// In the loupe every tile shows single pixels at the same place: the focus of the
// one that the cursor was on, or where they were panned to.
func TestFanCloseUp(t *testing.T) {
	p, rungs := fanOut(t)
	d := p.desk
	p.press(Loupe{})
	s := p.look()
	room := s.Tiling.room(large)
	for i, tile := range s.Tiles {
		if !tile.Whole || tile.Picture.Width != room.X || tile.Picture.Height != room.Y {
			t.Errorf("tile %d is %dx%d, want %v", i, tile.Picture.Width, tile.Picture.Height, room)
		}
	}
	if s.Loupe == nil || s.Loupe.Part.Empty() {
		t.Fatalf("the loupe shows %+v", s.Loupe)
	}
	if here := d.loupe.sights[s.Frame]; s.Loupe.From != here.from || !here.focus.in(s.Loupe) {
		t.Errorf("the focus is at %v, the loupe shows %+v", here.focus, s.Loupe)
	}
	for _, tile := range s.Tiles {
		if part, ok := d.partOf(tile.Frame); !ok || part.middle() != s.middle(d) {
			t.Errorf("%s shows another place: %v", d.name(tile.Frame), part)
		}
	}
	was := s
	p.press(Pan{-1, 0}, Pan{0, 1})
	s = p.look()
	for i, tile := range s.Tiles {
		part, ok := d.partOf(tile.Frame)
		if !tile.Whole || tile.Picture == was.Tiles[i].Picture || !ok || part.rect.Size() != room || part.middle() != s.middle(d) {
			t.Errorf("tile %d did not move along: %+v", i, part)
		}
	}
	p.press(Answer{cull.Yes})
	if got := p.decided(cull.KeepPass); len(got) != 1 || !got[rungs[0].Frame].Shown {
		t.Errorf("decided %v", got)
	}
	// What is open stays within its bytes, and all pixels come nevertheless.
	d.details = details{limit: 1}
	p.press(Pan{1, 0}, Pan{0, -1})
	if s = p.look(); slices.ContainsFunc(s.Tiles, func(t Tile) bool { return !t.Whole }) || len(d.details.list) > 1 {
		t.Errorf("%d are open, %+v", len(d.details.list), s.Tiles)
	}
	p.press(Loupe{})
	if s = p.look(); s.Loupe != nil || s.Tiles[0].Picture == nil {
		t.Error("closed, there are no whole pictures")
	}
}

// in reports whether the loupe shows a spot.
func (s spot) in(v *LoupePart) bool {
	return image.Pt(int(s.x*float64(v.Size.X)), int(s.y*float64(v.Size.Y))).In(v.Part)
}

// middle is the middle of what the loupe shows of the frame under the cursor.
func (s Shot) middle(d *Desk) spot {
	p, _ := d.partOf(s.Frame)
	return p.middle()
}

// The fan over a whole pass: from that of the moment, and back.
func TestFanOfAPass(t *testing.T) {
	p, rungs := fanOut(t)
	d := p.desk
	p.press(Fan{Pass: true})
	s := p.look()
	if v := d.FanView(); !d.FanOverPass() || !v.Whole || v.Total != demoFrames || s.Frame != rungs[0].Frame {
		t.Fatalf("over the pass: %d tiles of %d, the cursor on %s", len(s.Tiles), v.Total, d.name(s.Frame))
	}
	for _, tile := range d.FanView().Tiles {
		if of := slices.ContainsFunc(rungs, func(r Rung) bool { return r.Frame == tile.Frame }); of != tile.Moment {
			t.Errorf("%s is of the cursor's moment: %v", tile.Name, tile.Moment)
		}
	}
	p.press(Burst{cull.No})
	if got := p.decided(cull.KeepPass); len(got) != len(rungs) {
		t.Errorf("decided %v", got)
	}
	p.press(Undo{}, Fan{Pass: true})
	if d.InFan() || d.Shot().Frame != rungs[0].Frame {
		t.Errorf("pressed again: in the fan %v, on %s", d.InFan(), d.name(d.Shot().Frame))
	}
	p.press(Fan{Pass: true}, Fan{})
	if d.InFan() {
		t.Error("the other key does not close it")
	}
}

// The pass rescue is walked in a fan over all its frames; k brings one back.
func TestRescueFan(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	d := p.desk
	d.SetFan(FanArea{Cols: 79, Rows: 18, Pixels: image.Pt(790, 360)})
	for len(p.decided(cull.KeepPass)) < 12 {
		p.press(Answer{cull.No})
	}
	dropped := len(p.decided(cull.KeepPass)) // the last may have been of a series
	p.press(Answer{cull.Yes})
	if d.InFan() {
		t.Fatal("the pass keep is walked in a fan")
	}
	if err := d.begin(cull.RescuePass); err != nil {
		t.Fatal(err)
	}
	d.Redraw()
	s := p.look()
	v := d.FanView()
	if !d.InFan() || !v.Whole || v.Total != dropped || len(s.Tiles) != s.Tiling.Tiles() || len(s.Tiles) >= dropped {
		t.Fatalf("the rescue of %d frames shows %d tiles of %+v", v.Total, len(s.Tiles), s.Tiling)
	}
	p.press(Walk{cull.NextScene}) // by pages
	if now := d.FanView(); now.From != len(s.Tiles)+1 {
		t.Errorf("the next page begins at %d", now.From)
	}
	p.press(Walk{cull.PrevScene}, Walk{cull.PrevScene})
	p.says("the first page")
	frame := d.Shot().Frame
	p.press(Answer{cull.Yes}, Answer{cull.No})
	if got := p.decided(cull.RescuePass); len(got) != 2 || got[frame].Answer != cull.Yes {
		t.Errorf("rescued %v", got)
	}
	if got := d.Reckoning(); got.Yes != 1 || got.Open != dropped-2 {
		t.Errorf("reckoned %+v", got)
	}
	p.press(Fan{})
	if d.InFan() {
		t.Error("it does not close")
	}
	p.press(Fan{})
	if !d.FanOverPass() {
		t.Error("opened anew it is over a moment")
	}
	p.press(NextPass{})
	if d.InFan() || d.Pass().Name != cull.KeepPass {
		t.Errorf("in %s, in the fan %v", d.Pass().Name, d.InFan())
	}
}
