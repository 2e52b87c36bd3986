package station

import (
	"fmt"
	"image"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/sched"
)

// closeKey names the picture of a part of a frame as the view is turned.
func (d *Desk) closeKey(id cull.ID, p part) string {
	return d.plainCloseKey(id, p) + d.overlay.key()
}

// plainCloseKey names it without what is marked on it.
func (d *Desk) plainCloseKey(id cull.ID, p part) string {
	return fmt.Sprintf("%s close %d %v %dx%d", id, d.turns[id], p.rect, p.room.X, p.room.Y)
}

func detailKey(id cull.ID) string { return string(id) + " detail" }

// closeLook is what the loupe shows of a frame. What stands in for pixels that are
// still being made is not Whole, so that nothing is decided by it.
func (d *Desk) closeLook(s Shot) Shot {
	id := s.Frame
	if why, ok := d.loupe.failed[id]; ok {
		s = d.wholeLook(s)
		s.Loupe = &LoupePart{Why: plainWhy(why)}
		return s
	}
	p, ok := d.partOf(id)
	if !ok {
		s = d.wholeLook(s)
		s.Whole, s.Loupe = false, &LoupePart{}
		return s
	}
	near := d.closeView(id, p)
	s.Loupe = &near
	if c, ok := d.closeUps.get(d.closeKey(id, p)); ok {
		s.Picture, s.Whole = c.Image, true
		return s
	}
	if c, ok := d.closeUps.get(d.plainCloseKey(id, p)); ok { // until it is marked
		s.Picture = c.Image
		return s
	}
	if m := d.wholeLook(s).Picture; m != nil && id == d.session.Cursor() {
		s.Picture = d.loupe.blur.show(m, p)
		return s
	}
	s.Title = fmt.Sprintf("reading %s", d.name(id))
	return s
}

// closeView says what part of a frame the loupe shows.
func (d *Desk) closeView(id cull.ID, p part) LoupePart {
	_, from, _ := d.aim(id)
	return LoupePart{Part: p.rect, Size: p.size, Sensor: sizeTurned(d.loupe.sights[id].sensor, d.turns[id]), From: from, Face: d.faceWords(id)}
}

// otherLook is what the key of the loupe would show, if it is ready: the frame
// under the cursor close, or whole again.
func (d *Desk) otherLook() (Shot, bool) {
	id := d.session.Cursor()
	s := Shot{Frame: id, Answer: d.session.Decision(d.session.CursorPass(), id).Answer, Overlay: d.overlay}
	if d.loupe.on {
		s = d.wholeLook(s)
		return s, s.Whole
	}
	p, ok := d.partOf(id)
	if ok {
		_, ok = d.closeUps.get(d.closeKey(id, p))
	}
	if !ok {
		return s, false
	}
	return d.closeLook(s), true
}

// show is the part of a smaller picture of the whole.
func (b *blur) show(m *jpeg.Image, p part) *jpeg.Image {
	if b.of != m || b.part != p {
		*b = blur{m, p, framedBlur(m, p)}
	}
	return b.picture
}

// framedBlur cuts the part out; where the room is larger than all there is it
// stands in its middle as the part will.
func framedBlur(m *jpeg.Image, p part) *jpeg.Image {
	out := cutOut(m, p)
	w, h := p.room.X*out.Width/p.rect.Dx(), p.room.Y*out.Height/p.rect.Dy()
	return framed(out, image.Pt(w, h))
}

// closeWishes lists what is wanted while the loupe is open: first what is seen,
// then the frames around at the same place, as many as may be open at once.
func (d *Desk) closeWishes(id cull.ID) []wish {
	left := d.details.limit
	list := d.openWishes(id, sched.Visible, true, &left)
	if p, ok := d.nextFacePart(id); ok {
		list = append(list, wish{frame: id, class: sched.Next, what: closePicture, part: p})
	}
	list = append(list, wish{frame: id, edge: d.edge, class: sched.Next})
	if d.edge > pix.ThumbEdge && !d.noThumb[id] {
		list = append(list, wish{frame: id, edge: thumbEdge, class: sched.Visible})
	}
	for i, id := range d.around() {
		list = append(list, d.openWishes(id, aheadClass(i), false, &left)...)
	}
	return list
}

// openWishes lists what it takes to see a frame close, within the bytes that are
// left; what must be open is, whatever it holds.
func (d *Desk) openWishes(id cull.ID, class sched.Class, must bool, left *int64) []wish {
	if _, no := d.loupe.failed[id]; no {
		return []wish{{frame: id, edge: d.edge, class: class}}
	}
	var list []wish
	if p, known := d.partOf(id); known {
		w := wish{frame: id, class: class, what: closePicture, part: p}
		list = append(list, w)
		if d.use(w) && !must {
			return list
		}
	}
	need := d.details.weight(id)
	if need == 0 {
		need = d.viewer.DetailLoad(d.frames[id])
	}
	if *left -= need; must || *left >= 0 {
		list = append(list, wish{frame: id, class: class, what: closeDetail})
	}
	return list
}
