package station

import (
	"image"
	"slices"

	"garner/cull"
	"garner/preview/sched"
)

// anchor is the frame whose focus the loupe shows of a frame: in the fan that which
// the cursor was on, so that all tiles show the same place; else its own.
func (d *Desk) anchor(id cull.ID) cull.ID {
	if !d.InFan() {
		return id
	}
	if _, no := d.cannotShow(d.frames[d.fan.anchor]); no {
		return id
	}
	if _, no := d.loupe.failed[d.fan.anchor]; no {
		return id
	}
	return d.fan.anchor
}

// closeTile lets a tile show the pixels of its frame one on one. What stands in for
// pixels that are still being made is not Whole.
func (d *Desk) closeTile(t *Tile) LoupePart {
	if why, ok := d.loupe.failed[t.Frame]; ok {
		t.NotNear = plainWhy(why)
		return LoupePart{Why: t.NotNear}
	}
	whole := t.Picture
	t.Whole, t.Source = false, nil
	p, ok := d.partOf(t.Frame)
	if !ok {
		return LoupePart{}
	}
	if c, ok := d.closeUps.get(d.closeKey(t.Frame, p)); ok {
		t.Picture, t.Whole = c.Image, true
	} else if whole != nil {
		t.Picture = d.fan.blur(t.Frame).show(whole, p)
	}
	return d.closeView(t.Frame, p)
}

// blur is what keeps what stands in for a tile's pixels.
func (f *fan) blur(id cull.ID) *blur {
	if f.blurs == nil || len(f.blurs) > 2*maxTiles {
		f.blurs = map[cull.ID]*blur{}
	}
	if f.blurs[id] == nil {
		f.blurs[id] = &blur{}
	}
	return f.blurs[id]
}

// closeTileWishes lists what is wanted while the tiles show single pixels: those
// that are not there yet and what they are made from, as much of it as may be open
// at once; then what is open stays, so that panning need not read it again; then
// what the next page is made from.
func (d *Desk) closeTileWishes(page fanPage) []wish {
	frames := page.frames
	if i := slices.Index(frames, d.session.Cursor()); i > 0 {
		frames = slices.Concat(frames[i:i+1], frames[:i], frames[i+1:])
	}
	var list, open []wish
	left, missing := d.details.limit, 0
	for _, id := range frames {
		if _, no := d.cannotShow(d.frames[id]); no {
			continue
		}
		if _, no := d.loupe.failed[id]; no {
			w, _ := d.tileWish(id, page.edge)
			w.class = sched.Visible
			list = append(list, w)
			continue
		}
		detail := wish{frame: id, class: sched.Visible, what: closeDetail}
		if p, known := d.partOf(id); known {
			w := wish{frame: id, class: sched.Visible, what: closePicture, part: p}
			list = append(list, w)
			if d.use(w) {
				open = append(open, detail)
				continue
			}
		}
		if !d.noThumb[id] {
			list = append(list, wish{frame: id, edge: thumbEdge, class: sched.Next})
		}
		need := d.weigh(id)
		if missing < mostAsked/2 && (missing == 0 || left >= need) {
			list = append(list, detail)
			left -= need
			missing++
		}
	}
	for _, w := range open {
		if need := d.details.weight(w.frame); need > 0 && left >= need {
			list = append(list, w)
			left -= need
		}
	}
	if missing > 0 {
		return list
	}
	for i, next := range d.fanNext(page) {
		for _, id := range next.frames {
			if _, no := d.cannotShow(d.frames[id]); no || left < d.weigh(id) {
				continue
			}
			left -= d.weigh(id)
			list = append(list, wish{frame: id, class: aheadClass(i + 1), what: closeDetail})
		}
	}
	return list
}

// weigh is what a frame that is open for the loupe holds, or will.
func (d *Desk) weigh(id cull.ID) int64 {
	if w := d.details.weight(id); w > 0 {
		return w
	}
	return d.viewer.DetailLoad(d.frames[id])
}

// room is how many pixels the picture of a tile has room for.
func (t Tiling) room(a FanArea) image.Point {
	if a.empty() || t.Tiles() == 0 {
		return image.Point{}
	}
	return image.Pt(t.Width*a.Pixels.X/a.Cols, t.Height*a.Pixels.Y/a.Rows)
}
