package station

import (
	"errors"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/prepare"
	"garner/preview/jpeg"
)

// Files that change under the station: what is made of the old bytes, or could not
// be made of them, counts for nothing, whenever it arrives.
func TestPictureOfTheBytesBefore(t *testing.T) {
	for name, late := range map[string]pictureNews{
		"a picture": {made: made{Picture: prepare.Picture{Image: &jpeg.Image{Width: 1, Height: 1, Y: []byte{0}, YStride: 1, SubX: 1, SubY: 1}}}},
		"a failure": {err: errors.New("cut off")},
	} {
		t.Run(name, func(t *testing.T) {
			p := sit(t, shoot(t, true), Options{})
			p.look()
			d := p.desk
			id := d.session.Cursor()
			d.album.forget(string(id))
			d.renew()
			late.key, late.wish = d.pictureKey(id, d.edge), wish{frame: id, edge: d.edge}
			late.request = d.requested[late.key].number
			if late.request == 0 {
				t.Fatal("nothing was asked for")
			}
			f := d.frames[id]
			f.Files = slices.Clone(f.Files)
			f.Files[0].Size++
			d.Take(News{filled: &filledNews{frames: map[cull.ID]cull.Frame{id: f}}})
			if d.drawn[id] {
				t.Error("the new bytes count as shown")
			}
			d.Take(News{pictures: []pictureNews{late}})
			if s := d.Shot(); s.Whole {
				t.Errorf("what came of the bytes before is shown: %q", s.Title)
			}
			if s := p.look(); s.Picture == nil || s.Picture == late.made.Image {
				t.Errorf("afterwards: %q", s.Title)
			}
		})
	}
}

// A frame that becomes known under another id stays where it is, with what is
// known of it.
func TestFrameUnderAnotherName(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	p.press(Walk{cull.NextMoment})
	p.look()
	d := p.desk
	l := d.session.Layout()
	former := d.session.Cursor()
	at := d.session.CursorIndex()
	const id = cull.ID("00000000000000aa")
	f := d.frames[former]
	f.ID = id
	newer := cull.Layout{Places: slices.Clone(l.Places), Scenes: l.Scenes}
	newer.Places[at].Frame = id
	newer.Places[0], newer.Places[1] = newer.Places[1], newer.Places[0] // which must not show behind the cursor
	first := l.Places[0].Frame
	d.Take(News{filled: &filledNews{frames: map[cull.ID]cull.Frame{id: f}, layout: &newer, aliases: map[cull.ID]cull.ID{former: id}}})
	if got := d.session.Cursor(); got != id {
		t.Errorf("the cursor is on %s, want %s", got, id)
	}
	if got := d.session.Layout().Places[0].Frame; got != first {
		t.Errorf("%s went to the front, behind the cursor", got)
	}
	if d.Reckoning().Arrived != 0 {
		t.Error("a frame under another name counts as one that arrived")
	}
	if !d.drawn[id] || d.drawn[former] {
		t.Error("it was seen under its former name, and is the same frame")
	}
}

// A held undo whose first entry is still on its way to the disk takes back one.
func TestHeldUndoOnASlowDisk(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	p.press(Answer{cull.Yes}, Answer{cull.Yes}, Answer{cull.No})
	begin := p.now.Add(5 * time.Second)
	for _, ms := range []int{0, 500, 533, 566, 600} {
		p.now = begin.Add(time.Duration(ms) * time.Millisecond)
		p.desk.Do(Undo{}, Press{Key: "u", At: p.now})
	}
	p.wait()
	if got := p.decided(cull.KeepPass); len(got) != 2 {
		t.Errorf("%d frames decided, want 2 of 3", len(got))
	}
}

// Keys that were read before the picture was drawn do not decide it, though they
// are handled after.
func TestKeysFromBeforeThePicture(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	p.wait()
	typed := p.now
	p.desk.Drawn(p.desk.Shot().ID, typed.Add(time.Second))
	p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: typed})
	p.wait()
	if got := p.decided(cull.KeepPass); len(got) != 0 {
		t.Errorf("decided %v", got)
	}
	p.desk.Do(Answer{cull.No}, Press{Key: "d", At: typed.Add(2 * time.Second)})
	p.wait()
	if got := p.decided(cull.KeepPass); len(got) != 1 {
		t.Errorf("decided %v", got)
	}
}

// A held key whose second decision is still on its way when the desk is closed has
// decided once.
func TestClosedWhileWithdrawing(t *testing.T) {
	dir := shoot(t, true)
	j := openJob(t, dir)
	defer j.Close()
	d, err := Open(j, Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	d.SetEdge(200)
	p := &person{t: t, desk: d, job: j, now: time.Now()}
	p.look()
	for _, ms := range []int{0, 500} {
		d.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now.Add(time.Duration(ms) * time.Millisecond)})
		if ms == 0 {
			p.look()
		}
	}
	d.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now.Add(533 * time.Millisecond)})
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	if got := p.decided(cull.KeepPass); len(got) != 1 {
		t.Errorf("%d frames decided, want 1", len(got))
	}
}

// What goes to the disk while the desk is closed is counted.
func TestClosedWhileKeeping(t *testing.T) {
	dir := shoot(t, true)
	j := openJob(t, dir)
	defer j.Close()
	d, err := Open(j, Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	d.SetEdge(200)
	p := &person{t: t, desk: d, job: j, now: time.Now()}
	p.look()
	d.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now.Add(time.Second)})
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	if got := d.Sitting(); got.Yes != 1 {
		t.Errorf("the sitting counts %+v", got)
	}
}
