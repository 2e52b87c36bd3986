package station

import (
	"slices"

	"garner/cull"
)

// FanView is what is said of a fan beside its pictures.
type FanView struct {
	Kind   cull.MomentKind // of the moment
	Series cull.SeriesKind
	Whole  bool // it is over the whole pass
	Alike  int  // it is over a set of look-alikes of so many moments; 0 = it is not
	Tiling Tiling
	Tiles  []FanTile // those on the screen
	From   int       // number of the first of them, from 1
	Total  int       // frames of the fan
	Counts cull.Counts
}

// FanTile is what is said of one frame.
type FanTile struct {
	Rung
	Number  int    // its place in the fan, from 1
	Waiting bool   // what is to be seen of it is still being made
	Why     string // why it cannot be shown; "" = it can
	NotNear string // why its own pixels are not seen in the loupe; "" = they are, or it is not open
	Moment  bool   // it is of the cursor's moment
	At      cull.Stamp
	Of      int // in a fan of look-alikes: which of their moments it is of, from 1
}

// FanView returns what is said of the fan; its tiles are those of the Shot.
func (d *Desk) FanView() FanView {
	l, s := d.fanList(), d.shot
	v := FanView{Whole: d.fan.over == ofPass, Tiling: s.Tiling, Total: len(l.frames)}
	here, _ := d.session.Place(d.session.Cursor())
	v.Kind, v.Series = here.Kind, here.Series
	if len(s.Tiles) == 0 {
		return v
	}
	v.From = slices.Index(l.frames, s.Tiles[0].Frame) + 1
	v.Counts = d.fanCounts(l)
	first, _ := d.session.Place(l.frames[0])
	number := map[int]int{} // moment → which it is
	if l.of.alike > 0 {
		for _, id := range l.frames {
			if p, _ := d.session.Place(id); number[p.Moment] == 0 {
				v.Alike++
				number[p.Moment] = v.Alike
			}
		}
	}
	for i, t := range s.Tiles {
		p, _ := d.session.Place(t.Frame)
		r := d.rung(t.Frame)
		if !v.Whole {
			r.After = p.Corrected.Wall.Sub(first.Corrected.Wall)
		}
		v.Tiles = append(v.Tiles, FanTile{Rung: r, Number: v.From + i, Waiting: !t.Whole, Why: t.Why, NotNear: t.NotNear,
			Moment: p.Moment == here.Moment, At: p.Corrected, Of: number[p.Moment]})
	}
	return v
}

// fanCounts says how the frames of a fan are answered.
func (d *Desk) fanCounts(l *fanList) cull.Counts {
	pass := d.session.CursorPass()
	if l.of.unit == everything {
		return d.reckon().counts
	}
	var c cull.Counts
	for _, id := range l.frames {
		c.Add(d.session.Decision(pass, id).Answer, 1)
	}
	return c
}
