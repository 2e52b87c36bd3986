package station

import (
	"context"
	"image"
	"os"
	"path/filepath"
	"testing"
	"time"

	"garner/cull"
)

// closeBy sits down with a loupe that shows w by h pixels.
func closeBy(t *testing.T, dir string, w, h int) *person {
	t.Helper()
	p := sit(t, dir, Options{})
	p.desk.SetRoom(image.Pt(w, h), image.Pt(w-100, h))
	p.look()
	return p
}

func TestLoupe(t *testing.T) {
	p := closeBy(t, shoot(t, true), 640, 400)
	d := p.desk
	p.now = p.now.Add(time.Second)
	d.Do(Loupe{}, Press{Key: "space", At: p.now})
	s := d.Shot()
	if s.Whole || s.Loupe == nil {
		t.Fatalf("at once: whole %v, loupe %+v", s.Whole, s.Loupe)
	}
	d.Drawn(s.ID, p.now) // what stands in for it decides nothing
	d.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now.Add(time.Second)})
	p.wait()
	if got := p.decided(cull.KeepPass); len(got) != 0 {
		t.Fatalf("decided before the pixels were there: %v", got)
	}
	s = p.look()
	room := d.room(s.Frame)
	if !s.Whole || s.Loupe.Size != image.Pt(2400, 1600) || s.Loupe.Part.Size() != room || s.Picture.Width != room.X || s.Picture.Height != room.Y {
		t.Fatalf("the loupe shows %+v as %dx%d", s.Loupe, s.Picture.Width, s.Picture.Height)
	}
	if s.Loupe.From == "" || s.Loupe.Why != "" {
		t.Errorf("it does not say where from: %+v", s.Loupe)
	}
	// The pixels are those of the JPEG.
	detail, err := d.viewer.Detail(context.Background(), d.frames[s.Frame])
	if err != nil {
		t.Fatal(err)
	}
	want, err := detail.Crop(context.Background(), s.Loupe.Part)
	if err != nil {
		t.Fatal(err)
	}
	if !s.Loupe.Part.Overlaps(image.Rectangle{detail.Focus, detail.Focus.Add(image.Pt(1, 1))}) {
		t.Errorf("the focus %v is not in %v", detail.Focus, s.Loupe.Part)
	}
	for y := range want.Height {
		for x := range want.Width {
			if a, b := s.Picture.Y[y*s.Picture.YStride+x], want.Y[y*want.YStride+x]; a != b {
				t.Fatalf("%d at %d,%d, want %d", a, x, y, b)
			}
		}
	}
	// A key decides what was seen close.
	frame := s.Frame
	p.press(Answer{cull.Yes})
	if got := p.decided(cull.KeepPass); len(got) != 1 || !got[frame].Shown {
		t.Errorf("decided %v", got)
	}
	if s = p.look(); s.Frame == frame || s.Loupe == nil || !s.Whole {
		t.Errorf("the next frame is not seen close: %+v", s.Loupe)
	}
	p.press(Loupe{})
	if s = p.look(); s.Loupe != nil || !s.Whole {
		t.Errorf("closed: %+v", s.Loupe)
	}
}

// The place that was panned to is that of the neighbours too, in every size and
// however they are turned; without panning each has its own.
func TestLoupeKeepsItsPlace(t *testing.T) {
	p := closeBy(t, shoot(t, true), 640, 400)
	d := p.desk
	p.press(Pan{1, 0})
	p.says("the loupe is not open")
	p.onBurst()
	p.press(Loupe{})
	own := p.look().Loupe.Part
	p.press(Pan{-1, 0}, Pan{0, -1})
	panned := p.look().Loupe
	if want := own.Sub(image.Pt(540/3, 400/3)); panned.Part != want && panned.Part.Min.X != 0 && panned.Part.Min.Y != 0 {
		t.Errorf("panned from %v to %v", own, panned.Part)
	}
	if panned.From != "" {
		t.Errorf("what was panned to is said to come from %q", panned.From)
	}
	p.press(Walk{cull.LadderDown})
	if got := p.look().Loupe.Part; got != panned.Part {
		t.Errorf("the next rung shows %v, want %v", got, panned.Part)
	}
	was := d.Shot()
	p.press(Turn{})
	s := p.look()
	if s.Loupe.Size != image.Pt(1600, 2400) || s.Picture.Width != 540 || s.Picture.Height != 400 {
		t.Fatalf("turned: %+v, %dx%d", s.Loupe, s.Picture.Width, s.Picture.Height)
	}
	// The middle of the part before is in the part now, at the same place of the picture.
	at := was.Loupe.Part.Min.Add(was.Loupe.Part.Max).Div(2)
	now := image.Pt(1600-at.Y, at.X)
	if !now.In(s.Loupe.Part) {
		t.Errorf("turned it shows %v, which is not at %v", s.Loupe.Part, now)
	}
	p.press(Loupe{}, Loupe{})
	if got := p.look().Loupe; got.From == "" {
		t.Error("opened anew it still is where it was panned to")
	}
}

func TestLoupeAtTheEdges(t *testing.T) {
	p := closeBy(t, shoot(t, true), 640, 400)
	p.press(Loupe{})
	for _, c := range []struct {
		pan  Pan
		says string
	}{{Pan{-1, 0}, "left edge"}, {Pan{0, -1}, "upper edge"}, {Pan{1, 0}, "right edge"}, {Pan{0, 1}, "lower edge"}} {
		for i := 0; ; i++ {
			if i > 20 {
				t.Fatalf("%v has no end", c.pan)
			}
			p.press(c.pan)
			if p.desk.Notice().Kind == Refused {
				break
			}
			if s := p.look(); !s.Whole || !s.Loupe.Part.In(image.Rectangle{Max: s.Loupe.Size}) {
				t.Fatalf("%v: %+v", c.pan, s.Loupe)
			}
		}
		p.says(c.says)
	}
	if got := p.decided(cull.KeepPass); len(got) != 0 {
		t.Errorf("panning decided %v", got)
	}
}

// Held, the loupe stays as the press left it; panning goes on.
func TestHeldLoupe(t *testing.T) {
	p := closeBy(t, shoot(t, true), 640, 400)
	hold := func(a Act) {
		begin := p.now.Add(time.Second)
		for _, ms := range []int{0, 500, 533, 566, 600, 633} {
			p.now = begin.Add(time.Duration(ms) * time.Millisecond)
			p.desk.Do(a, Press{Key: "held", At: p.now})
			p.wait()
		}
		p.now = p.now.Add(5 * time.Second)
		p.desk.Do(nil, Press{Key: "other", At: p.now})
	}
	hold(Loupe{})
	if !p.desk.InLoupe() {
		t.Error("a held key opened the loupe and closed it again")
	}
	from := p.look().Loupe.Part
	hold(Pan{0, 1})
	if moved := p.look().Loupe.Part.Min.Y - from.Min.Y; moved < 2*400/3 {
		t.Errorf("held, it panned by %d pixels", moved)
	}
	hold(Loupe{})
	if p.desk.InLoupe() {
		t.Error("a held key closed the loupe and opened it again")
	}
}

// Where there are no such pixels it is said why; who walks by sees the whole
// picture, and can decide it.
func TestNoPixels(t *testing.T) {
	dir := shoot(t, true)
	p := closeBy(t, dir, 640, 400)
	for _, sub := range []string{"A", "B", "C"} {
		os.Rename(filepath.Join(dir, sub), filepath.Join(dir, sub+" away"))
	}
	p.press(Loupe{})
	p.says("no loupe of")
	if s := p.look(); p.desk.InLoupe() || s.Loupe != nil || !s.Whole {
		t.Errorf("it is open: %+v", s.Loupe)
	}
	for _, sub := range []string{"A", "B", "C"} {
		os.Rename(filepath.Join(dir, sub+" away"), filepath.Join(dir, sub))
	}
	p.press(Loupe{})
	if s := p.look(); s.Loupe == nil || !s.Whole {
		t.Fatal("it does not open though the file is there again")
	}
	for _, sub := range []string{"A", "B", "C"} {
		os.Rename(filepath.Join(dir, sub), filepath.Join(dir, sub+" away"))
	}
	places := p.desk.session.Layout().Places
	for i := len(places) - 1; !p.desk.frames[p.desk.session.Cursor()].CanBeShown() || i == len(places)-1; i-- {
		p.press(goTo{places[i].Frame}) // far from what was made ahead
	}
	s := p.look()
	if s.Loupe == nil || s.Loupe.Why == "" || s.Picture == nil || !s.Whole {
		t.Fatalf("a frame without pixels: %+v", s)
	}
	p.press(Answer{cull.No})
	if got := p.decided(cull.KeepPass); len(got) != 1 {
		t.Errorf("decided %v", got)
	}
}

func TestLoupeOnAFrameThatCannotBeShown(t *testing.T) {
	p := closeBy(t, shoot(t, true), 640, 400)
	for _, pl := range p.desk.session.Layout().Places {
		if !p.desk.frames[pl.Frame].CanBeShown() {
			p.press(goTo{pl.Frame}, Loupe{})
			p.says("cannot be shown")
			if p.desk.InLoupe() {
				t.Error("the loupe is open")
			}
			p.press(goTo{p.desk.session.Layout().Places[0].Frame}, Loupe{}, goTo{pl.Frame})
			if s := p.look(); s.Picture != nil || !s.Whole {
				t.Errorf("in the loupe: %+v", s)
			}
			return
		}
	}
	t.Fatal("the demo has no broken frame")
}

// A walk in the loupe finds its pixels made, and the terminal can be given them.
func TestLoupeAhead(t *testing.T) {
	p := closeBy(t, shoot(t, true), 640, 400)
	p.onBurst()
	p.press(Loupe{})
	p.look()
	p.wait()
	coming := p.desk.Coming()
	if len(coming) < 3 {
		t.Fatalf("%d shots are ready", len(coming))
	}
	for _, motion := range []cull.Motion{cull.LadderDown, cull.NextMoment} {
		p.now = p.now.Add(time.Second)
		p.desk.Do(Walk{motion}, Press{Key: "walk", At: p.now})
		s := p.desk.Shot()
		if !s.Whole {
			t.Fatalf("%v is not ready", s.Frame)
		}
		known := false
		for _, c := range coming {
			known = known || c.Picture == s.Picture && c.Answer == s.Answer && *c.Loupe == *s.Loupe
		}
		if !known {
			t.Error("what is shown is not what was coming")
		}
		p.look()
		coming = p.desk.Coming()
	}
}

// What is open for the loupe stays within its bytes, the frame on the screen among
// it.
func TestDetailsAreBounded(t *testing.T) {
	p := closeBy(t, shoot(t, true), 640, 400)
	p.press(Loupe{})
	d := p.desk
	d.details.limit = 3 << 20 // a few frames of the demo
	for range 8 {
		p.press(Walk{cull.NextMoment})
		s := p.look()
		if d.details.bytes > d.details.limit {
			t.Errorf("%d bytes are open", d.details.bytes)
		}
		if !s.Whole {
			t.Fatalf("%s is not seen close", s.Frame)
		}
		if len(d.requested) > 0 {
			t.Fatalf("%d are asked for again and again", len(d.requested))
		}
	}
	// One that is larger than all is open by itself.
	d.details.limit = 1
	p.press(goTo{d.session.Layout().Places[0].Frame}, Walk{cull.LastFrame}, Pan{1, 0}, Pan{0, 1})
	if s := p.look(); !s.Whole || len(d.details.list) != 1 {
		t.Errorf("whole %v, %d open", s.Whole, len(d.details.list))
	}
}

// Who has used the loupe finds it made when he opens it again, without waiting.
func TestLoupeIsPoised(t *testing.T) {
	p := closeBy(t, shoot(t, true), 640, 400)
	d := p.desk
	p.press(Walk{cull.NextMoment})
	p.look()
	if len(d.details.list) > 0 {
		t.Error("a frame is open though the loupe was never used")
	}
	p.press(Loupe{}, Loupe{}, Walk{cull.NextMoment})
	p.look()
	coming := d.Coming()
	p.now = p.now.Add(time.Second)
	d.Do(Loupe{}, Press{Key: "space", At: p.now})
	if s := d.Shot(); !s.Whole || s.Loupe == nil || coming[len(coming)-1].Picture != s.Picture {
		t.Errorf("whole %v, loupe %+v", s.Whole, s.Loupe)
	}
}

// A walk past frames calls off what was begun for them: only what is wanted here is
// under way.
func TestWalkedPastIsCalledOff(t *testing.T) {
	p := closeBy(t, shoot(t, true), 640, 400)
	p.press(Loupe{})
	d := p.desk
	for range 12 {
		p.now = p.now.Add(33 * time.Millisecond)
		d.Do(Walk{cull.NextMoment}, Press{Key: "right", At: p.now})
	}
	wanted := map[string]bool{}
	for _, w := range d.wishes() {
		wanted[d.key(w)] = true
	}
	load := d.sched.Load()
	waiting := 0
	for _, n := range load.Waiting {
		waiting += n
	}
	if waiting > len(wanted) {
		t.Errorf("%d wait, %d are wanted", waiting, len(wanted))
	}
	if s := p.look(); !s.Whole || s.Frame != d.session.Cursor() {
		t.Errorf("it ends on %s", s.Frame)
	}
	if d.details.bytes > d.details.limit || d.closeUps.bytes > closeBytes {
		t.Errorf("%d and %d bytes are held", d.details.bytes, d.closeUps.bytes)
	}
}
